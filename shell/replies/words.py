"""How people write readings in a message: short hands, ways to say a value, words to skip.

Tables of language only. Names of measurements come from the knowledge base (id, label,
short name, aliases); `CALLS` adds the short hands that people use in messages and counts
only for measurements that the knowledge base has. A table is written as "key: phrase;
phrase", a key a line, continued lines indented.
"""

from __future__ import annotations

import re
from typing import Final


def _table(text: str) -> dict[str, tuple[str, ...]]:
    entries = re.findall(r"(?m)^ {4}(\S+): ((?:.+)(?:\n {8}.+)*)", text)
    return {key: tuple(" ".join(p.split()) for p in said.split(";")) for key, said in entries}


def _phrases(text: str) -> tuple[str, ...]:
    return tuple(" ".join(p.split()) for p in text.split(";"))


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


CALLS: Final = _table(
    """
    positive_leg_drop: pos; positive; positive leg; positive side; pos drop; hot side; feed side
    negative_leg_drop: neg; negative; negative leg; negative side; neg drop; ground side; ground leg;
        return side
    battery_crank_voltage: crank; cranking; crank volts; battery crank; cranking at the battery; battery
        while cranking; battery in crank; posts while cranking
    battery_rest_voltage: rest; resting; rested; at rest; rest volts; battery rest; standing; static;
        key off; engine off; open circuit volts; battery off; battery sits; sits at; sitting
    battery_load_voltage: load; loaded; load test; under load; load volts; battery load
    battery_capacity_percent: capacity; battery tester; tester; battery health; health; soh
    battery_pair_difference: pair difference; difference; diff; between batteries; battery difference
    parasitic_draw: parasitic; key off draw; sleep draw; parasitic draw; standby draw; drain
    crank_current: amps; starter amps; crank amps; pulls; pulling; starter draw; amp draw; starter
        current; clamp meter; clamp amps; current
    crank_speed: rpm; cranking speed; crank rpm; speed; turning; turning over; spinning
    starter_crank_voltage: starter volts; volts at starter; starter voltage; at the starter cranking;
        starter crank
    solenoid_contact_drop: solenoid contacts; contacts; across the solenoid; solenoid drop; sol drop;
        solenoid; solenoid studs; stud to stud
    start_terminal_voltage: start terminal; s terminal; s term; start term; start wire; s post; trigger;
        trigger wire; start signal
    control_feed_voltage: into the key; into the key switch; key switch feed; key feed; feed to key;
        ignition feed; switch feed; control feed; key in
    key_switch_output_voltage: key out; key switch; key output; switch out; key switch out; out of the
        key
    interlock_output_voltage: interlock; neutral switch; neutral safety switch; safety switch; after
        neutral switch; interlock out; clutch switch; nss
    relay_coil_voltage: relay coil; coil
    relay_ground_drop: relay ground; coil ground
    relay_contact_drop: relay contacts; across the relay; relay drop
    relay_output_voltage: relay out; relay output; out of the relay
    pull_in_resistance: pull in; pull-in; pull in winding; pullin
    hold_in_resistance: hold in; hold-in; hold in winding; holdin
    positive_post_drop: positive post; pos post; positive clamp
    negative_post_drop: negative post; neg post; negative clamp
    positive_cable_drop: positive cable; pos cable; positive lead
    negative_cable_drop: negative cable; neg cable; ground cable; battery ground cable
    disconnect_drop: disconnect; master switch; isolator; battery switch; cutoff; disco
    starter_stud_drop: starter stud; starter post; starter lug
    starter_mount_drop: starter mount; starter case to block; case to block; mount
    ground_strap_drop: ground strap; strap; engine strap; block to frame; frame strap
    charging_voltage: charging; charge; alternator; alt; charge volts; running
    starter_no_load_current: no load amps; bench amps; no load current; free run amps
    starter_no_load_speed: no load rpm; bench rpm; no load speed; free run rpm
    positive_post_inspection: positive post; pos post; pos; positive; positive clamp; positive terminal
    negative_post_inspection: negative post; neg post; neg; negative; negative clamp; negative terminal
    ground_points_inspection: grounds; ground points; ground lugs; engine ground; frame ground; ground
        lug; ground connections; ground
    lights_while_cranking: lights; headlights; dome light; dome; light; lamps
    engine_turns_by_hand: by hand; bar over; barred; barring; turns by hand; breaker bar; engine by
        hand; bars over
    solenoid_bypass: bypass; remote button; remote start button; jumped the solenoid; jumper; remote
        starter; jumped s terminal; bump switch
    ring_gear_inspection: ring gear; flywheel teeth; ring gear teeth; flywheel
    start_fuse_inspection: fuse; start fuse
    wiggle_test: wiggle; wiggled; wiggling; wiggle test; shake; moving
    warm_joint: warm; hot joint; warm joint; heat
    gear_selector_trial: gear selector; neutral trial; shifter; selector
    start_message: start message; display; start lock; lock lamp; dash message
    """
)
"""More names of a measurement, as people write them in messages."""

VALUES: Final = _table(
    """
    clean_tight: clean and tight; clean; tight; shiny; clean tight; spotless
    corroded: green; corrosion; crusty; white powder; furry; fuzzy; rusty; rust; blue crud; crud; dirty;
        white stuff; green stuff; powdery; rotten; burnt
    loose: wobbly; wobbles; turns on the post; spins on the post; not tight; can twist; moves by hand
    steady: bright; stay bright; stay on; no change; full bright; stays on; dont dim; stay
    dim: dims; go dim; get dim; dimmer; fade; dull; low
    go_out: go out; off; die; black; goes dark; dark; out
    freely: free; easy; fine; no problem; turns ok; smooth; ok
    hard: stiff; tight; heavy; tough
    locked: seized; solid; wont move; wont budge; stuck; not at all
    cranks: crank fine; crank good; spins right over; crank normal; crank strong; crank ok
    slow: crank slow; still slow; drag
    clicks: click only; just click; only click; click
    nothing: no change; dead; not a thing; silent
    good: ok; fine; intact; not blown
    worn: chewed; chipped; missing teeth; bad teeth; damaged; ground down
    open: blown; popped; burnt; burned out; blew
    no_change: nothing; no difference; no effect; same
    battery_area: battery cables; at the battery; batteries; battery end
    starter_area: at the starter; starter end; starter cable; starter wiring; starter
    ground_points: grounds; ground lug; ground cable; ground strap
    control_wiring: harness; key wiring; relay wires; small wires; control wires
    positive_post: positive post; positive clamp; positive terminal
    negative_post: negative post; negative clamp; negative terminal
    starter_stud: starter stud; starter lug
    disconnect: disconnect; master switch; isolator
    none: all cold; nothing warm; none warm
    """
)
"""Ways to say the value of an observation; a value counts where its measurement is named too."""

_SAYINGS: Final = _table(
    """
    crank_behaviour.single_click: single click; one click; click once; one clunk; one loud click; just a
        click; just one click
    crank_behaviour.chatter: click rapid; click quick; click over and over; rapid click; fast click;
        machine gun; click like crazy; chatter
    crank_behaviour.slow: crank slow; slow crank; turn slow; turn over slow; crank real slow; crank very
        slow; drag over
    crank_behaviour.silent: silent; stays silent; no sound; dead silent; no click; not even a click;
        nothing happen; nothing
        at all
    crank_behaviour.spins_free: spin free; just whir; spin but engine dont turn
    crank_behaviour.grinds: grind
    crank_behaviour.keeps_running: keep run; stay engage; wont stop crank
    crank_behaviour.normal: crank fine; crank ok; crank good; crank normal; crank strong
    occurrence.intermittent: sometimes; now and then; on and off; intermittent; comes and goes; hit and
        miss
    occurrence.every_time: every time; all the time
    gear_selector_trial.cranks_in_other_position: crank in neutral
    gear_selector_trial.no_change: same in neutral
    warm_joint.negative_post: negative post hot; negative post warm; negative clamp hot; negative clamp
        warm
    warm_joint.positive_post: positive post hot; positive post warm; positive clamp hot; positive clamp
        warm
    warm_joint.starter_stud: starter stud hot; starter stud warm
    warm_joint.disconnect: disconnect hot; disconnect warm
    """
)
SAYINGS: Final = tuple((said, *key.split(".")) for key, phrases in _SAYINGS.items() for said in phrases)
"""(phrase, measurement, value): an observation by itself; the knowledge base's complaints are added."""

UNCLEAR: Final[tuple[tuple[str, str, tuple[str, ...]], ...]] = (
    ("dont click", "crank_behaviour", ("silent", "normal")),
    ("not click", "crank_behaviour", ("silent", "normal")),
    ("click", "crank_behaviour", ("single_click", "chatter")),
)
"""Sayings that can mean more than one value, asked about."""

BROAD: Final = _phrases(
    """
    battery; starter; draw; relay; key; stud; solenoid; ground; cable; post; terminal; switch;
    voltage; leg; drop; clamp; battery voltage; wire; pair
    """
)
"""Words that name several things in a message, even where a knowledge base gives them to one."""

NOT_ALONE: Final = _words(
    """
    after at between by case engine free health in look meter no off out over run side start test
    try time under voltage drop sit
    into input test wire feed
    """
)
"""Words that name nothing unless another word of a name stands beside them."""

OTHER_SIDE: Final = _words("into input before ahead upstream")
"""Before a name they turn to the other side of what is named."""

LATER: Final = _words(
    """
    gonna ill later need next shall should tomorrow wil will
    """
)
"""Words of a sentence about what is still to be done."""

NO_SAYING: Final = _phrases(
    """
    wont crank; no crank; dont crank; not crank
    """
)
"""Every machine that this is about does so; it tells the symptom is there, not which it is."""

PRESENT: Final = _phrases(
    """
    no crank; wont crank; not crank; dont crank; while act up; act up; when it fail; while fail;
    wont turn over; not turn over; just click; no go; on a bad one
    """
)
"""The symptom was there."""

AWAY: Final = _phrases(
    """
    crank fine; crank ok; crank good; crank normal; good crank; start fine; start right up; start up
    fine; fire right up; it started; on a good one; crank strong; while it work
    """
)
"""It was not."""

CANNOT: Final = _phrases(
    """
    cant get to; cant get at; cant reach; cant measure; cant read; cant check; cant get on; cant
    see; no access to; no way to get to; unable to reach; unable to get to; cant do; unable to
    measure; not get to; no way to reach; cant access; cant test; not reach; dont have access to;
    cant get a lead on; cant get a probe on; no room to get to
    """
)
"""Before the name of what cannot be measured."""

CANNOT_AFTER: Final = _phrases(
    """
    n/a; cant reach; cant get to it; skip; no access; no tool; no clamp; not possible; cant do; cant
    get it; cant measure; unreachable; no can do
    """
)
"""Behind it."""

NOT: Final = _words(
    """
    cant dont isnt never no not stopped without wont
    """
)
BOTH: Final = _words(
    """
    all both each
    """
)
JOIN: Final = _words(
    """
    : = a about across at between drop during for from get got i in is ish it now of off on over
    read say show side still the to was when while with
    """
)
"""Words between a name and its number that say nothing."""

PREPOSITIONS: Final = _words(
    """
    across at during for from in on over when while with
    """
)

_SPELLINGS: Final = _table(
    """
    alternator: alt
    amp: amperage; amperes
    battery: batt; bat; batts; bats; batteries
    cable: cbl
    cant: couldnt; cannot
    clamp: clmp
    click: clicky
    corroded: corroded
    crank: crk; crnk; crnaking; crankin
    current: curr
    die: died; dies; dying
    disconnect: discon
    dont: doesnt; didnt; does'nt
    during: during
    get: gets
    go: goes; went; gone
    ground: gnd; grnd; earth; grd; earthing
    i: im
    light: lite; lites
    n/a: na
    negative: neg; negitive; negetive; ngative
    neutral: nutral
    not: isnt; wasnt
    nothing: nothing
    ok: okay
    positive: pos; posative; postive; possitive
    read: reading; reads
    say: says
    show: showing
    slow: slowly
    solenoid: sol
    sometimes: sometimes
    started: started
    starter: strtr; start'r
    stay: stayed
    terminal: term; terminals
    voltage: volt; v; volts
    wont: wouldnt
    """
)
CANON: Final = {spelt: word for word, spellings in _SPELLINGS.items() for spelt in spellings}
"""Spellings made one before matching."""

COMMON: Final = _words(
    """
    about after again already always another around away back because been before being better boss
    bring broken brought called change changed charge check clear close cold come contact contacts
    could day done down driver each else even every field first found give going gonna good great
    guess guys hand have here home hour hours into just keep know last later leave left level like
    little loader look looking looks machine made make maybe mine minutes month more morning most
    much need needs never night nothing number often only open other over paint past people phone
    photo picture pint place please point points pretty probably pulled pulls put rain ready really
    replace replaced right road said same seconds seems send shop should since some someone
    something soon sorry sound sounds starting stuff sure take tell text thanks that them then there
    these they thing think this those though thought three time times today tomorrow tonight took
    tractor trailer tried tries truck trying tuesday twice under until used using very waiting want
    wants water weather week weeks well were what when where which while will with without work
    worked works would wrong year years yesterday your
    """
)
"""Everyday words that are never a misspelt word of the trade."""
