"""How people write readings in a message: short hands, ways to say a value, words to skip.

Tables of language only. Names of measurements come from the knowledge base (id, label,
short name, aliases); `CALLS` adds the short hands that people use in messages and counts
only for measurements that the knowledge base has.
"""

from __future__ import annotations

from typing import Final

CALLS: Final[dict[str, tuple[str, ...]]] = {
    "positive_leg_drop": ("pos", "positive", "positive leg", "positive side", "pos drop", "hot side", "feed side"),
    "negative_leg_drop": ("neg", "negative", "negative leg", "negative side", "neg drop", "ground side",
                          "ground leg", "return side"),
    "battery_crank_voltage": ("crank", "cranking", "crank volts", "battery crank", "cranking at the battery",
                              "battery while cranking", "battery in crank", "posts while cranking"),
    "battery_rest_voltage": ("rest", "resting", "rested", "at rest", "rest volts", "battery rest", "standing",
                             "static", "key off", "engine off", "open circuit volts", "battery off"),
    "battery_load_voltage": ("load", "loaded", "load test", "under load", "load volts", "battery load"),
    "battery_capacity_percent": ("capacity", "battery tester", "tester", "battery health", "health", "soh"),
    "battery_pair_difference": ("pair difference", "difference", "diff", "between batteries", "battery difference"),
    "parasitic_draw": ("parasitic", "key off draw", "sleep draw", "parasitic draw", "standby draw", "drain"),
    "crank_current": ("amps", "starter amps", "crank amps", "pulls", "pulling", "starter draw", "amp draw",
                      "starter current", "clamp meter", "clamp amps", "current"),
    "crank_speed": ("rpm", "cranking speed", "crank rpm", "speed", "turning", "turning over", "spinning"),
    "starter_crank_voltage": ("starter volts", "volts at starter", "starter voltage", "at the starter cranking",
                              "starter crank"),
    "solenoid_contact_drop": ("solenoid contacts", "contacts", "across the solenoid", "solenoid drop", "sol drop",
                              "solenoid", "solenoid studs", "stud to stud"),
    "start_terminal_voltage": ("start terminal", "s terminal", "s term", "start term", "start wire", "s post",
                               "trigger", "trigger wire", "start signal"),
    "control_feed_voltage": ("key feed", "feed to key", "ignition feed", "switch feed", "control feed", "key in"),
    "key_switch_output_voltage": ("key out", "key switch", "key output", "switch out", "key switch out",
                                  "out of the key"),
    "interlock_output_voltage": ("interlock", "neutral switch", "after neutral switch", "interlock out",
                                 "clutch switch", "nss"),
    "relay_coil_voltage": ("relay coil", "coil"),
    "relay_ground_drop": ("relay ground", "coil ground"),
    "relay_contact_drop": ("relay contacts", "across the relay", "relay drop"),
    "relay_output_voltage": ("relay out", "relay output", "out of the relay"),
    "pull_in_resistance": ("pull in", "pull-in", "pull in winding", "pullin"),
    "hold_in_resistance": ("hold in", "hold-in", "hold in winding", "holdin"),
    "positive_post_drop": ("positive post", "pos post", "positive clamp"),
    "negative_post_drop": ("negative post", "neg post", "negative clamp"),
    "positive_cable_drop": ("positive cable", "pos cable", "positive lead"),
    "negative_cable_drop": ("negative cable", "neg cable", "ground cable", "battery ground cable"),
    "disconnect_drop": ("disconnect", "master switch", "isolator", "battery switch", "cutoff", "disco"),
    "starter_stud_drop": ("starter stud", "starter post", "starter lug"),
    "starter_mount_drop": ("starter mount", "starter case to block", "case to block", "mount"),
    "ground_strap_drop": ("ground strap", "strap", "engine strap", "block to frame", "frame strap"),
    "charging_voltage": ("charging", "charge", "alternator", "alt", "charge volts", "running"),
    "starter_no_load_current": ("no load amps", "bench amps", "no load current", "free run amps"),
    "starter_no_load_speed": ("no load rpm", "bench rpm", "no load speed", "free run rpm"),
    "positive_post_inspection": ("positive post", "pos post", "pos", "positive", "positive clamp", "positive terminal"),
    "negative_post_inspection": ("negative post", "neg post", "neg", "negative", "negative clamp", "negative terminal"),
    "ground_points_inspection": ("grounds", "ground points", "ground lugs", "engine ground", "frame ground",
                                 "ground lug", "ground connections", "ground"),
    "lights_while_cranking": ("lights", "headlights", "dome light", "dome", "light", "lamps"),
    "engine_turns_by_hand": ("by hand", "bar over", "barred", "barring", "turns by hand", "breaker bar",
                             "engine by hand", "bars over"),
    "solenoid_bypass": ("bypass", "remote button", "remote start button", "jumped the solenoid", "jumper",
                        "remote starter", "jumped s terminal", "bump switch"),
    "ring_gear_inspection": ("ring gear", "flywheel teeth", "ring gear teeth", "flywheel"),
    "start_fuse_inspection": ("fuse", "start fuse"),
    "wiggle_test": ("wiggle", "wiggled", "wiggling", "wiggle test", "shake", "moving"),
    "warm_joint": ("warm", "hot joint", "warm joint", "heat"),
    "gear_selector_trial": ("gear selector", "neutral trial", "shifter", "selector"),
}
"""More names of a measurement, as people write them in messages."""

VALUES: Final[dict[str, tuple[str, ...]]] = {
    "clean_tight": ("clean and tight", "clean", "tight", "shiny", "clean tight", "spotless"),
    "corroded": ("green", "corrosion", "crusty", "white powder", "furry", "fuzzy", "rusty", "rust", "blue crud",
                 "crud", "dirty", "white stuff", "green stuff", "powdery", "rotten", "burnt"),
    "loose": ("wobbly", "wobbles", "turns on the post", "spins on the post", "not tight", "can twist", "moves by hand"),
    "steady": ("bright", "stay bright", "stay on", "no change", "full bright", "stays on", "dont dim", "stay"),
    "dim": ("dims", "go dim", "get dim", "dimmer", "fade", "dull", "low"),
    "go_out": ("go out", "off", "die", "black", "goes dark", "dark", "out"),
    "freely": ("free", "easy", "fine", "no problem", "turns ok", "smooth", "ok"),
    "hard": ("stiff", "tight", "heavy", "tough"),
    "locked": ("seized", "solid", "wont move", "wont budge", "stuck", "not at all"),
    "cranks": ("crank fine", "crank good", "spins right over", "crank normal", "crank strong", "crank ok"),
    "slow": ("crank slow", "still slow", "drag"),
    "clicks": ("click only", "just click", "only click", "click"),
    "nothing": ("no change", "dead", "not a thing", "silent"),
    "good": ("ok", "fine", "intact", "not blown"),
    "worn": ("chewed", "chipped", "missing teeth", "bad teeth", "damaged", "ground down"),
    "open": ("blown", "popped", "burnt", "burned out", "blew"),
    "no_change": ("nothing", "no difference", "no effect", "same"),
    "battery_area": ("battery cables", "at the battery", "batteries", "battery end"),
    "starter_area": ("at the starter", "starter end", "starter cable", "starter wiring", "starter"),
    "ground_points": ("grounds", "ground lug", "ground cable", "ground strap"),
    "control_wiring": ("harness", "key wiring", "relay wires", "small wires", "control wires"),
    "positive_post": ("positive post", "positive clamp", "positive terminal"),
    "negative_post": ("negative post", "negative clamp", "negative terminal"),
    "starter_stud": ("starter stud", "starter lug"),
    "disconnect": ("disconnect", "master switch", "isolator"),
    "none": ("all cold", "nothing warm", "none warm"),
}
"""Ways to say the value of an observation; a value counts where its measurement is named too."""

SAYINGS: Final[tuple[tuple[str, str, str], ...]] = (
    ("single click", "crank_behaviour", "single_click"),
    ("one click", "crank_behaviour", "single_click"),
    ("click once", "crank_behaviour", "single_click"),
    ("one clunk", "crank_behaviour", "single_click"),
    ("one loud click", "crank_behaviour", "single_click"),
    ("just a click", "crank_behaviour", "single_click"),
    ("just one click", "crank_behaviour", "single_click"),
    ("rapid click", "crank_behaviour", "chatter"),
    ("fast click", "crank_behaviour", "chatter"),
    ("machine gun", "crank_behaviour", "chatter"),
    ("click like crazy", "crank_behaviour", "chatter"),
    ("chatter", "crank_behaviour", "chatter"),
    ("crank slow", "crank_behaviour", "slow"),
    ("slow crank", "crank_behaviour", "slow"),
    ("turn slow", "crank_behaviour", "slow"),
    ("turn over slow", "crank_behaviour", "slow"),
    ("crank real slow", "crank_behaviour", "slow"),
    ("crank very slow", "crank_behaviour", "slow"),
    ("drag over", "crank_behaviour", "slow"),
    ("no sound", "crank_behaviour", "silent"),
    ("dead silent", "crank_behaviour", "silent"),
    ("no click", "crank_behaviour", "silent"),
    ("not even a click", "crank_behaviour", "silent"),
    ("nothing happen", "crank_behaviour", "silent"),
    ("nothing at all", "crank_behaviour", "silent"),
    ("spin free", "crank_behaviour", "spins_free"),
    ("just whir", "crank_behaviour", "spins_free"),
    ("spin but engine dont turn", "crank_behaviour", "spins_free"),
    ("grind", "crank_behaviour", "grinds"),
    ("keep run", "crank_behaviour", "keeps_running"),
    ("stay engage", "crank_behaviour", "keeps_running"),
    ("wont stop crank", "crank_behaviour", "keeps_running"),
    ("crank fine", "crank_behaviour", "normal"),
    ("crank ok", "crank_behaviour", "normal"),
    ("crank good", "crank_behaviour", "normal"),
    ("crank normal", "crank_behaviour", "normal"),
    ("crank strong", "crank_behaviour", "normal"),
    ("sometimes", "occurrence", "intermittent"),
    ("now and then", "occurrence", "intermittent"),
    ("on and off", "occurrence", "intermittent"),
    ("intermittent", "occurrence", "intermittent"),
    ("comes and goes", "occurrence", "intermittent"),
    ("hit and miss", "occurrence", "intermittent"),
    ("every time", "occurrence", "every_time"),
    ("all the time", "occurrence", "every_time"),
    ("crank in neutral", "gear_selector_trial", "cranks_in_other_position"),
    ("same in neutral", "gear_selector_trial", "no_change"),
    ("negative post hot", "warm_joint", "negative_post"),
    ("negative post warm", "warm_joint", "negative_post"),
    ("negative clamp hot", "warm_joint", "negative_post"),
    ("negative clamp warm", "warm_joint", "negative_post"),
    ("positive post hot", "warm_joint", "positive_post"),
    ("positive post warm", "warm_joint", "positive_post"),
    ("positive clamp hot", "warm_joint", "positive_post"),
    ("positive clamp warm", "warm_joint", "positive_post"),
    ("starter stud hot", "warm_joint", "starter_stud"),
    ("starter stud warm", "warm_joint", "starter_stud"),
    ("disconnect hot", "warm_joint", "disconnect"),
    ("disconnect warm", "warm_joint", "disconnect"),
)
"""Sentences that are an observation by themselves; the knowledge base's complaints are added."""

UNCLEAR: Final[tuple[tuple[str, str, tuple[str, ...]], ...]] = (
    ("dont click", "crank_behaviour", ("silent", "normal")),
    ("not click", "crank_behaviour", ("silent", "normal")),
    ("click", "crank_behaviour", ("single_click", "chatter")),
)
"""Sayings that can mean more than one value, asked about."""

BROAD: Final = ("battery", "starter", "draw", "relay", "key", "stud", "solenoid", "ground", "cable", "post",
                "terminal", "switch", "voltage", "leg", "drop", "clamp", "battery voltage", "wire", "pair")
"""Words that name several things in a message, even where a knowledge base gives them to one."""

NOT_ALONE: Final = frozenset(("meter", "side", "after", "between", "over", "at", "test", "out", "in", "key off",
                             "engine", "start", "look", "by", "free", "no", "off", "run", "case", "try", "health"))
"""Words that name nothing unless another word of a name stands beside them."""

LATER: Final = frozenset(("will", "gonna", "later", "tomorrow", "next", "ill", "need", "should", "wil", "shall"))
"""Words of a sentence about what is still to be done."""

NO_SAYING: Final = ("wont crank", "no crank", "dont crank", "not crank")
"""Every machine that this is about does so; it tells the symptom is there, not which it is."""

PRESENT: Final = ("no crank", "wont crank", "not crank", "dont crank", "while act up", "act up", "when it fail",
                  "while fail", "wont turn over", "not turn over", "just click", "no go", "on a bad one")
AWAY: Final = ("crank fine", "crank ok", "crank good", "crank normal", "good crank", "start fine", "start right up",
               "start up fine", "fire right up", "it started", "on a good one", "crank strong", "while it work")
CANNOT: Final = ("cant get to", "cant get at", "cant reach", "cant measure", "cant read", "cant check", "cant get on",
                 "cant see", "no access to", "no way to get to", "unable to reach", "unable to get to", "cant do",
                 "unable to measure", "not get to", "no way to reach", "cant access", "cant test", "not reach",
                 "dont have access to", "cant get a lead on", "cant get a probe on", "no room to get to")
CANNOT_AFTER: Final = ("n/a", "cant reach", "cant get to it", "skip", "no access", "no tool", "no clamp",
                       "not possible", "cant do", "cant get it", "cant measure", "unreachable", "no can do")

NOT: Final = frozenset("no not dont never wont cant isnt stopped without".split())  # noqa: SIM905
BOTH: Final = frozenset(("both", "all", "each"))
JOIN: Final = frozenset(("on", "at", "across", "for", "in", "from", "over", "between", "to", "with", "off", "is",
                         "was", "read", "show", "get", "got", "the", "of", "when", "while", "during", "side", "say",
                         "now", "still", "drop", "a", "about", "it", "i", "=", ":", "ish"))
"""Words between a name and its number that say nothing."""

PREPOSITIONS: Final = frozenset(("on", "at", "across", "for", "from", "over", "when", "while", "with", "during", "in"))

CANON: Final[dict[str, str]] = {
    "pos": "positive", "neg": "negative", "gnd": "ground", "grnd": "ground", "earth": "ground", "grd": "ground",
    "batt": "battery", "bat": "battery", "batts": "battery", "bats": "battery", "batteries": "battery",
    "sol": "solenoid", "strtr": "starter", "start'r": "starter", "term": "terminal", "volt": "voltage",
    "v": "voltage", "volts": "voltage", "amperage": "amp", "amperes": "amp", "doesnt": "dont", "didnt": "dont",
    "does'nt": "dont", "wouldnt": "wont", "couldnt": "cant", "cannot": "cant", "isnt": "not", "wasnt": "not",
    "nothing": "nothing", "sometimes": "sometimes", "during": "during", "goes": "go", "went": "go", "gone": "go", "clmp": "clamp", "terminals": "terminal", "cbl": "cable",
    "discon": "disconnect", "curr": "current", "okay": "ok", "crk": "crank", "crnk": "crank", "crnaking": "crank", "crankin": "crank", "na": "n/a", "reading": "read", "reads": "read",
    "showing": "show", "says": "say", "gets": "get", "lite": "light", "lites": "light", "slowly": "slow",
    "im": "i", "corroded": "corroded", "stayed": "stay", "died": "die", "dies": "die", "dying": "die", "alt": "alternator",
    "started": "started", "nutral": "neutral", "posative": "positive", "negitive": "negative", "negetive": "negative",
    "postive": "positive", "possitive": "positive", "ngative": "negative", "earthing": "ground", "clicky": "click",
}
"""Spellings made one before matching."""

COMMON: Final = frozenset(
    "about after again already always another around away back because been before being better broken brought bring"
    " called check come could day done down driver each else even every first found give going good gonna great guess"
    " hand have here home hour hours into just keep know last later leave left level like little look looking looks"
    " made make maybe mine month more morning most much need needs never night nothing number often only open other"
    " over past people place please point pretty probably pulled put really right road said same seems should since"
    " some someone something soon sorry sure take tell thanks that them then there these they thing think this those"
    " though thought three time times today tomorrow tonight took tried truck tries trying tuesday twice under until"
    " used using very waiting want wants water week well were what when where which while will with without work"
    " worked works would wrong year years yesterday your rain weather cold machine tractor replaced replace weeks"
    " starting ready phone send text photo picture boss shop field trailer loader guys minutes seconds paint pint"
    " point points pulls great change changed contact contacts charge sounds sound stuff close clear please".split()  # noqa: SIM905
)
"""Everyday words that are never a misspelt word of the trade."""
