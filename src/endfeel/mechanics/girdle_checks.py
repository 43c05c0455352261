"""What publications and the trade say about the AC and SC joints, beside what the model says.

The model is set on anatomy and stiffness alone; none of the rows judged here set anything. Rules of judgement, fixed
beforehand: a published force or share is met within one of its published deviations; a share recalled without its
spread is met when the structure leads and the share is near; an order is met when the model has the same order; a
"force in" a structure is the size of the sum of its fibres' pulls, a "share of the resisting force" its part along
the direction of loading. A claim that the model cannot speak to has no verdict, and a reason.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from endfeel.anatomy.units import deg_from_rad, m_from_mm, mm_from_m, rad_from_deg
from endfeel.evidence.figures import Figure, number
from endfeel.evidence.library import Library
from endfeel.mechanics import acromioclavicular as ac
from endfeel.mechanics import sternoclavicular as sc
from endfeel.mechanics.changes import cut
from endfeel.mechanics.girdle_glides import Glide, force_in, portion, turned_to
from endfeel.mechanics.girdle_ligaments import (
    AC_CAPSULE,
    CORACOCLAVICULAR,
    COSTOCLAVICULAR,
    GirdleFigures,
    read_girdle,
)
from endfeel.mechanics.ligament_springs import Flags, Floats, SpringJoint

PEOPLE = 200


@dataclass(frozen=True, slots=True)
class Verdict:
    """One claim: who makes it, what it says, what the model says, and whether they agree."""

    row: str
    """Id of the figure that makes the claim."""
    says: str
    """The claim in the words of its row."""
    provenance: str
    model: str
    """What the model of the mean person says; empty where it cannot speak."""
    agrees: bool | None
    """None where the model cannot speak to the claim."""
    reason: str
    """Why it cannot speak, or why they may differ; empty where nothing needs saying."""
    people_ratio: float | None
    """The part of a drawn population in which the claim holds."""


@dataclass(frozen=True, slots=True)
class Bench:
    """The two joints under test, of one person or of many, with the figures of the claims."""

    library: Library
    of: GirdleFigures
    ac: SpringJoint
    sc: SpringJoint

    def set_to(self, name: str) -> float:
        """A stated value of the checks themselves, such as what counts as small."""
        return self.of.mean(f"girdle.{name}")


Found = tuple[str, Flags]
Check = Callable[[Bench], Found]


def girdle_verdicts(library: Library, people: int = PEOPLE, seed: int = 1) -> tuple[Verdict, ...]:
    """Every claim about the AC and SC joints with its verdict, by row; with no people, of the mean person alone."""
    of = read_girdle(library)
    mean = Bench(library, of, ac.default_joint(library), sc.default_joint(library))
    many = mean
    if people:
        many = Bench(library, of, ac.drawn_joints(library, people, seed), sc.drawn_joints(library, people, seed))
    verdicts = []
    for row, check in CHECKS.items():
        figure = library.figure(row)
        words, holds = check(mean)
        ratio = float(np.mean(check(many)[1])) if people else None
        reason = "" if holds else DOUBTS.get(row, "")
        verdicts.append(
            Verdict(row, _says(library, figure), figure.provenance.label, words, bool(holds), reason, ratio)
        )
    for row, reason in SILENT.items():
        figure = library.figure(row)
        verdicts.append(Verdict(row, _says(library, figure), figure.provenance.label, "", None, reason, None))
    return tuple(sorted(verdicts, key=lambda verdict: verdict.row))


def as_table(verdicts: Sequence[Verdict]) -> str:
    """The verdicts as a table for a document, agreement first."""
    words = {True: "agrees", False: "disagrees", None: "cannot speak"}
    lines = [
        "| row | what it says | label | model, mean person | verdict | holds in | why |",
        "|---|---|---|---|---|---|---|",
    ]
    for verdict in sorted(verdicts, key=lambda one: ((True, False, None).index(one.agrees), one.row)):
        held = "" if verdict.people_ratio is None else f"{verdict.people_ratio * 100:.0f} %"
        cells = (
            verdict.row,
            verdict.says,
            verdict.provenance,
            verdict.model,
            words[verdict.agrees],
            held,
            verdict.reason,
        )
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines)


def _says(library: Library, figure: Figure) -> str:
    """A claim in words, from the cells of its row."""
    table, row_id, _ = figure.id.split(".", 2)
    if table not in library.tables:
        rule = next(rule for rule in library.documents[table]["glide_rule"] if rule["id"] == row_id)
        return f"{rule['joint']} {rule['angular_motion']}: {rule['glide']} glide of the {rule['moving_bone']}"
    text = library.tables[table].rows[row_id].text
    if table == "restraint_studies":
        return f"{text['load_or_motion']}: {text['structure']}, {text['measure']} {figure.text}"
    if table == "accessory_motion":
        return f"{text['procedure']}: {text['measure']} {figure.text}"
    return f"{text['joint']} {text['direction']}, {text['force_N'] or '?'} N: {text['finding'] or figure.text}"


# --- AC joint -------------------------------------------------------------------------------------------------------


def _ac(bench: Bench, direction: ac.Direction, without: Sequence[str] = ()) -> Glide:
    force = number(bench.library.figure("joint_play.jp050.force_N"))
    changes = [cut(structure) for structure in without]
    return ac.translate(bench.ac, direction, force, changes=changes, moving="clavicle")


def _trapezoid_force(bench: Bench) -> Found:
    found = force_in(_ac(bench, "posterior"), ("trapezoid",))
    return f"{_of(found):.0f} N", _within_sd(bench, "restraint_studies.rs110", found)


def _trapezoid_share(bench: Bench) -> Found:
    found = _ac(bench, "posterior").share["trapezoid"] * 100.0
    return f"{_of(found):.0f} %", _within_sd(bench, "restraint_studies.rs111", found)


def _share_posterior(band: str, row: str, standard_error: float) -> Check:
    def check(bench: Bench) -> Found:
        found = _ac(bench, "posterior").share[band] * 100.0
        published = float(bench.library.figure(row).text.split(" ")[0])
        return f"{_of(found):.0f} %", np.abs(found - published) <= standard_error

    return check


def _leads(joint: str, direction: str, band: str) -> Check:
    """A band bears more force than any other."""

    def check(bench: Bench) -> Found:
        found = _ac(bench, direction) if joint == "ac" else _sc(bench, direction)  # type: ignore[arg-type]
        forces = {name: force_in(found, (name,)) for name in found.pull_n}
        return _ranking(forces), _first(forces, band)

    return check


def _group_leads(direction: ac.Direction, group: str) -> Check:
    """Capsule or coracoclavicular ligaments: one bears more force than the other."""

    def check(bench: Bench) -> Found:
        found = _ac(bench, direction)
        forces = {"AC_capsule": force_in(found, AC_CAPSULE), "coracoclavicular": force_in(found, CORACOCLAVICULAR)}
        return _ranking(forces), _first(forces, group)

    return check


def _ac_after_section(direction: ac.Direction, least_mm: float, most_mm: float) -> Check:
    def check(bench: Bench) -> Found:
        more = mm_from_m(_ac(bench, direction, ("AC_capsule",)).along_m - _ac(bench, direction).along_m)
        return f"{_of(more):.1f} mm more", (more >= least_mm) & (more <= most_mm)

    return check


def _ligaments_take_over(bench: Bench) -> Found:
    words, holds = [], np.array(True)
    for direction in ("anterior", "posterior"):
        before = force_in(_ac(bench, direction), CORACOCLAVICULAR)
        after = force_in(_ac(bench, direction, ("AC_capsule",)), CORACOCLAVICULAR)
        words.append(f"{direction} {_of(before):.0f} to {_of(after):.0f} N")
        holds = holds & (after > before)
    return "; ".join(words), holds


def _resistance_left(bench: Bench) -> Found:
    whole = _ac(bench, "posterior")
    after = _at_distance(bench.ac, whole.along_m, ("AC_capsule",))
    left = after / whole.force_n * 100.0
    limit = bench.library.figure("restraint_studies.rs119.value").high
    return f"{_of(left):.0f} % left", left < (limit if limit is not None else np.nan)


def _at_distance(joint: SpringJoint, distance_m: Floats, without: Sequence[str]) -> Floats:
    """The force that a backward translation of a given size takes after section."""
    return ac.resist(joint, "posterior", distance_m, changes=[cut(one) for one in without]).force_n


def _portion_of(move: Callable[[Bench], Glide], bands: Sequence[str], row: str) -> Check:
    """A share recalled without its spread: the structure leads and the share is near."""

    def check(bench: Bench) -> Found:
        found = move(bench)
        share = portion(found, bands) * 100.0
        near = np.abs(share - number(bench.library.figure(row))) <= bench.set_to("remembered_points")
        others = [portion(found, (band,)) * 100.0 for band in found.tension_n if band not in bands]
        return f"{_of(share):.0f} %", near & (share >= np.max(others, axis=0))

    return check


def _ac_moved(direction: ac.Direction, size: str) -> Callable[[Bench], Glide]:
    return lambda bench: ac.resist(bench.ac, direction, float(m_from_mm(bench.set_to(f"{size}_displacement_mm"))))


def _clavicle_rolled(bench: Bench) -> Glide:
    return ac.rotate_clavicle(bench.ac, turn_rad=float(rad_from_deg(bench.set_to("small_turn_deg"))))


def _conoid_above(direction: ac.Direction, above: str, below: str) -> Check:
    def check(bench: Bench) -> Found:
        found = _ac(bench, direction)
        more, less = force_in(found, (above,)), force_in(found, (below,))
        return f"{above} {_of(more):.0f} N, {below} {_of(less):.0f} N", more > less

    return check


def _more_after(joint: str, direction: str, structure: str, row: str = "") -> Check:
    """Section of a structure lets the bone go notably farther (or, with a row, about as much farther as published)."""

    def check(bench: Bench) -> Found:
        move = _ac if joint == "ac" else _sc
        before = move(bench, direction).along_m  # type: ignore[arg-type]
        after = move(bench, direction, (structure,)).along_m  # type: ignore[arg-type]
        percent = (after / before - 1.0) * 100.0
        if not row:
            return f"{_of(percent):.0f} % more", percent >= bench.set_to("notable_change_percent")
        published = _number_after(bench.library.figure(row).text, direction)
        factor = bench.set_to("remembered_factor")
        near = (percent >= published / factor) & (percent <= published * factor)
        return f"{_of(percent):.0f} % more", near

    return check


def _acromion_glides(turn: float, forward: float) -> Check:
    """The blade turns about the upright axis (positive inward) and the acromion slides forward or backward."""

    def check(bench: Bench) -> Found:
        angle = float(rad_from_deg(bench.set_to("small_turn_deg"))) * turn
        sine, cosine = np.sin(angle), np.cos(angle)
        rotation = np.array([[cosine, 0.0, sine], [0.0, 1.0, 0.0], [-sine, 0.0, cosine]])
        clavicle = turned_to(bench.ac, rotation.T).shift_m
        slid = mm_from_m(-(clavicle @ rotation.T)[..., 0])
        return f"{_of(slid):+.1f} mm forward", slid * forward > 0.0

    return check


# --- SC joint -------------------------------------------------------------------------------------------------------


def _sc(bench: Bench, direction: sc.Direction, without: Sequence[str] = ()) -> Glide:
    return sc.translate(
        bench.sc, direction, bench.set_to("glide_force_n"), changes=[cut(structure) for structure in without]
    )


def _backward_is_stiffest(others: Sequence[sc.Direction]) -> Check:
    def check(bench: Bench) -> Found:
        far = {one: mm_from_m(_sc(bench, one).along_m) for one in ("posterior", *others)}
        words = ", ".join(f"{one.replace('_', '-')} {_of(value):.1f} mm" for one, value in far.items())
        least = np.min([far[one] for one in others], axis=0)
        return words, far["posterior"] < least

    return check


def _little_effect(bench: Bench) -> Found:
    percents = []
    for structure in ("costoclavicular", "interclavicular"):
        for direction in ("anterior", "posterior"):
            before = _sc(bench, direction).along_m
            after = _sc(bench, direction, (structure,)).along_m
            percents.append((after / before - 1.0) * 100.0)
    most = np.max(percents, axis=0)
    return f"at most {_of(most):.0f} % more", most < bench.set_to("notable_change_percent")


def _cut_matters_most(bench: Bench) -> Found:
    structures = ("SC_posterior", "SC_anterior", "interclavicular", "costoclavicular")
    far = {one: mm_from_m(_sc(bench, "posterior", (one,)).along_m) for one in structures}
    return _ranking(far, "mm"), _first(far, "SC_posterior")


def _both_after_posterior(bench: Bench) -> Found:
    row = "accessory_motion.am093.value"
    forward, backward = (_more_after("sc", one, "SC_posterior", row)(bench) for one in ("anterior", "posterior"))
    return f"anterior {forward[0]}, posterior {backward[0]}", forward[1] & backward[1]


def _moved(bench: Bench, *, elevation: float = 0.0, protraction: float = 0.0, backward: float = 0.0) -> Glide:
    """The clavicle turned by angles in degrees."""
    return sc.move_clavicle(
        bench.sc,
        elevation_rad=float(rad_from_deg(elevation)),
        protraction_rad=float(rad_from_deg(protraction)),
        backward_rad=float(rad_from_deg(backward)),
    )


def _taut(bands: Sequence[str], *, is_taut: bool = True, elevation: float = 0.0, protraction: float = 0.0) -> Check:
    """Bands are taut, or are not, when the clavicle is turned by a small angle."""

    def check(bench: Bench) -> Found:
        small = bench.set_to("small_turn_deg")
        found = _moved(bench, elevation=elevation * small, protraction=protraction * small)
        tension = np.asarray(sum(found.tension_n[band] for band in bands))
        return f"{_of(tension):.1f} N", (tension > bench.set_to("taut_n")) == is_taut

    return check


def _rises_with_abduction(bench: Bench) -> Found:
    pulls = []
    for part in (0.25, 0.5, 0.75, 1.0):
        found = _moved(
            bench,
            elevation=part * bench.set_to("abduction_elevation_deg"),
            protraction=-part * bench.set_to("abduction_retraction_deg"),
            backward=part * bench.set_to("abduction_backward_deg"),
        )
        pulls.append(np.asarray(sum(found.tension_n[band] for band in COSTOCLAVICULAR)))
    return f"{_of(pulls[0]):.0f} to {_of(pulls[-1]):.0f} N", np.all(np.diff(pulls, axis=0) > 0.0, axis=0)


def _carries_the_shaft(bench: Bench) -> Found:
    lever = float(m_from_mm(number(bench.library.figure("ligament_geometry.lg193.value"))))
    found = sc.load_shaft(bench.sc, bench.set_to("hanging_force_n"), lever)
    upper = found.share["SC_superior"] + found.share["SC_disc"]
    shares = {name: share for name, share in found.share.items() if name not in ("SC_superior", "SC_disc", "contact")}
    shares["SC_superior+disc"] = upper
    words = _ranking({name: share * 100.0 for name, share in shares.items()}, "%")
    return f"{words}; drops {_of(deg_from_rad(found.turn_rad)):.0f} deg", _first(shares, "SC_superior+disc")


def _glides_along_line(elevation: float, up_and_in: float) -> Check:
    def check(bench: Bench) -> Found:
        found = _moved(bench, elevation=elevation * bench.set_to("small_turn_deg"))
        slid = mm_from_m(found.shift_m @ np.array(sc.JOINT_LINE))
        return f"{abs(_of(slid)):.1f} mm {'up and in' if _of(slid) > 0 else 'down and out'}", slid * up_and_in > 0.0

    return check


def _glides_forward(protraction: float, forward: float) -> Check:
    def check(bench: Bench) -> Found:
        found = _moved(bench, protraction=protraction * bench.set_to("small_turn_deg"))
        slid = mm_from_m(found.shift_m[..., 0])
        return f"{_of(slid):+.1f} mm forward", slid * forward > 0.0

    return check


# --- words ----------------------------------------------------------------------------------------------------------


def _of(value: Floats) -> float:
    """The value of one person, for the words; of a population its median, which nobody reads."""
    return float(np.median(value))


def _ranking(values: Mapping[str, Floats], unit: str = "N") -> str:
    ordered = sorted(values.items(), key=lambda item: -_of(item[1]))
    return ", ".join(f"{name} {_of(value):.0f} {unit}" for name, value in ordered[:3])


def _first(values: Mapping[str, Floats], name: str) -> Flags:
    others = np.max([value for other, value in values.items() if other != name], axis=0)
    leads: Flags = np.asarray(values[name] > others)
    return leads


def _within_sd(bench: Bench, row: str, found: Floats) -> Flags:
    near: Flags = np.abs(found - number(bench.library.figure(f"{row}.value"))) <= number(
        bench.library.figure(f"{row}.sd")
    )
    return near


def _number_after(text: str, word: str) -> float:
    """The number that follows a word, as in `anterior 41, posterior 106`."""
    for part in text.split(","):
        name, _, value = part.strip().partition(" ")
        if name == word:
            return float(value)
    raise ValueError(f"no number for {word!r} in {text!r}")


def _study(row: str) -> str:
    return f"restraint_studies.{row}.value"


def _rule(name: str) -> str:
    return f"joint_rules.glide_{name}.glide"


_SMALL_TURN = "the angle is ours: the claim says only that it is small"
CHECKS: dict[str, Check] = {
    _study("rs110"): _trapezoid_force,
    _study("rs111"): _trapezoid_share,
    "joint_play.jp050.finding": _trapezoid_force,
    "accessory_motion.am087.value": _share_posterior("AC_superior", "accessory_motion.am087.value", 23.0),
    "accessory_motion.am088.value": _share_posterior("AC_posterior", "accessory_motion.am088.value", 16.0),
    _study("rs112"): _leads("ac", "anterior", "AC_inferior"),
    _study("rs113"): _group_leads("anterior", "AC_capsule"),
    _study("rs114"): _group_leads("posterior", "AC_capsule"),
    _study("rs115"): _group_leads("superior", "coracoclavicular"),
    _study("rs116"): _ac_after_section("anterior", 6.0, np.inf),
    "joint_play.jp048.translation_mm": _ac_after_section("anterior", 6.0, np.inf),
    _study("rs117"): _ac_after_section("posterior", 3.0, 4.5),
    "joint_play.jp049.translation_mm": _ac_after_section("posterior", 3.0, 4.5),
    _study("rs118"): _ligaments_take_over,
    _study("rs119"): _resistance_left,
    _study("rs128"): _portion_of(
        _ac_moved("posterior", "small"), ("AC_superior", "AC_posterior"), "restraint_studies.rs128.value"
    ),
    _study("rs129"): _portion_of(_clavicle_rolled, ("AC_superior",), "restraint_studies.rs129.value"),
    _study("rs130"): _portion_of(_ac_moved("superior", "large"), ("conoid",), "restraint_studies.rs130.value"),
    _study("rs131"): _portion_of(_ac_moved("superior", "small"), ("AC_superior",), "restraint_studies.rs131.value"),
    _study("rs132"): _leads("ac", "lateral", "trapezoid"),
    _study("rs148"): _conoid_above("anterior", "conoid", "trapezoid"),
    _study("rs149"): _conoid_above("superior", "conoid", "trapezoid"),
    _study("rs150"): _conoid_above("posterior", "trapezoid", "conoid"),
    _study("rs151"): _more_after("ac", "posterior", "trapezoid"),
    _rule("ac_scapular_lateral_rotation_retraction_acromion"): _acromion_glides(-1.0, -1.0),
    _rule("ac_scapular_medial_rotation_protraction_acromion"): _acromion_glides(1.0, 1.0),
    _study("rs133"): _backward_is_stiffest(("anterior", "superior_medial", "inferior_lateral")),
    "joint_play.jp051.finding": _backward_is_stiffest(("anterior",)),
    _study("rs134"): _more_after("sc", "anterior", "SC_anterior"),
    _study("rs136"): _rises_with_abduction,
    _study("rs139"): _taut(COSTOCLAVICULAR, protraction=1.0),
    _study("rs140"): _taut(COSTOCLAVICULAR, protraction=-1.0),
    _study("rs141"): _carries_the_shaft,
    _study("rs142"): _taut(COSTOCLAVICULAR, elevation=1.0),
    _study("rs143"): _taut(("interclavicular",), elevation=-1.0),
    _study("rs144"): _more_after("sc", "anterior", "SC_posterior"),
    _study("rs145"): _cut_matters_most,
    _study("rs146"): _more_after("sc", "anterior", "SC_anterior"),
    _study("rs147"): _little_effect,
    "accessory_motion.am093.value": _both_after_posterior,
    "accessory_motion.am094.value": _more_after("sc", "anterior", "SC_anterior", "accessory_motion.am094.value"),
    _study("rs152"): _taut(("interclavicular",), is_taut=False, elevation=1.0),
    _study("rs153"): _taut(("interclavicular",), elevation=-1.0),
    _rule("sc_elevation_clavicle"): _glides_along_line(1.0, -1.0),
    _rule("sc_depression_clavicle"): _glides_along_line(-1.0, 1.0),
    _rule("sc_protraction_clavicle"): _glides_forward(1.0, 1.0),
    _rule("sc_retraction_clavicle"): _glides_forward(-1.0, -1.0),
}
"""How each claim is put to the model, by the id of the figure that makes it."""

SILENT: dict[str, str] = {
    _study(
        "rs120"
    ): "the medial coracoclavicular ligament is not in the model: no stiffness or slack of it is published",
    "joint_play.jp052.finding": "states the load of a test, no result",
    _study("rs135"): "the model has no failure, only stiffness",
    _study("rs137"): "no published motion of the clavicle when the hanging arm turns inward, so nothing to impose",
    _study("rs138"): "no published motion of the clavicle when the hanging arm turns outward, so nothing to impose",
    _rule("ac_upward_rotation_acromion"): "a rocking, not a glide: it has no direction at the centre of the joint",
    _rule("ac_posterior_tilt_acromion"): "a rocking, not a glide: it has no direction at the centre of the joint",
    _rule("sc_posterior_rotation_clavicle"): "a spin: it has no glide to compare",
    _rule("sc_anterior_rotation_clavicle"): "a spin: it has no glide to compare",
}
"""Why the model cannot speak to a claim."""
_AC_TILT = "turns on the direction in which the joint surface faces and on the run of the band, both only described"
_STRETCHED = "the model holds the bone by straight lines that pull only along themselves; sheets also resist shear"
_SC_SURFACE = "turns on how far the sternal surface faces backward and how domed it is, neither of which is published"
_NO_PLAY = "the model's bands are all just slack at rest, so that they share from the start"
DOUBTS: dict[str, str] = {
    "accessory_motion.am088.value": _STRETCHED,
    "accessory_motion.am093.value": _SC_SURFACE,
    "accessory_motion.am094.value": _SC_SURFACE,
    "joint_play.jp049.translation_mm": _AC_TILT,
    "joint_play.jp050.finding": _AC_TILT,
    "joint_play.jp051.finding": _SC_SURFACE,
    _rule("ac_scapular_medial_rotation_protraction_acromion"): _AC_TILT,
    _study("rs110"): _AC_TILT,
    _study("rs111"): _AC_TILT,
    _study("rs117"): _AC_TILT,
    _study("rs129"): _STRETCHED,
    _study("rs130"): _NO_PLAY,
    _study("rs131"): _STRETCHED,
    _study("rs133"): _SC_SURFACE,
    _study("rs134"): _SC_SURFACE,
    _study("rs141"): "the model lets the clavicle drop freely about the joint, without the first rib below it",
    _study("rs145"): _SC_SURFACE,
    _study("rs146"): _SC_SURFACE,
    _study("rs147"): _SC_SURFACE,
    _study("rs148"): _AC_TILT,
    _study("rs149"): "the two bear almost the same; which leads turns on their run, which is only described",
    _study("rs150"): _AC_TILT,
    _study("rs151"): _AC_TILT,
}
"""What may lie behind a disagreement."""
