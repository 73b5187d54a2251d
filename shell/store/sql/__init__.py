"""The store as a database: tables, queries, and its journal kept in step."""
