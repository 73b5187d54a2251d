"""The store as a database: tables, versions, queries."""
