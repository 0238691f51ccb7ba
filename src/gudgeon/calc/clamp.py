"""Calculations of torque, adapters and clamp load."""

from __future__ import annotations

from typing import Final

from gudgeon.calc.calculation import Calculation, Extra, Given, Typed
from gudgeon.calc.options import Option
from gudgeon.clamp import threads, torque

_SHIGLEY: Final = "Shigley's Mechanical Engineering Design, 9th ed., eq. 8-27"
_TO_YIELD: Final = (
    "bolts tightened by angle or to yield are never judged or tightened by torque alone; "
    "the maker's torque comes first"
)
_K: Final = Option(
    "k",
    "the torque factor; 0.20 is assumed if left out",
    "0.15",
    "number",
    least=0,
    lowest=0.05,
    highest=0.6,
)
_TORQUE: Final = Option("torque", "the torque at the fastener", "25", "torque", above=0.0)


def _adapter_sum(typed: Typed) -> str:
    length, reach = typed["wrench"][0], typed["adapter"][0]
    angle = typed.get("angle", ["0"])[0]
    return f"{typed['torque'][0]} x {length} / ({length} + {reach} x cos {angle} deg)"


def _stands(angle: float) -> str:
    if angle < 1.0:
        return "straight out from the wrench, away from the hand"
    if angle > 179.0:
        return "folded back over the wrench, toward the hand"
    if abs(angle - 90.0) < 1.0:
        return "square to the wrench: no correction"
    return f"{angle:g} deg from straight out, {'out' if angle < 90.0 else 'back'}ward"


def _adapter_extra(given: Given, value: float) -> Extra:
    angle = given.get("angle", 0.0)
    assumed = "" if "angle" in given else " (assumed: no --angle given)"
    through = torque.torque_through(given["torque"], given["wrench"], given["adapter"], angle)
    over = 100.0 * (through / given["torque"] - 1.0)
    notes = (
        f"the adapter stands {_stands(angle)}{assumed}; 0 deg is straight out (set less), 90 "
        "square to the wrench (no correction), 180 folded back (set more)",
        f"uncorrected, the fastener would get {through:.2f} N*m ({over:+.1f} %)",
        "wrench: from the centre of its drive to the middle of the grip, and pull there, square "
        "to it; adapter: from the drive's centre to the fastener's",
    )
    return Extra({"uncorrected_Nm": round(through, 9), "angle_deg": angle}, notes)


def _k_of(typed: Typed) -> str:
    return str(typed["k"][0]) if "k" in typed else f"{torque.ASSUMED_K:.2f}"


def _scatter(given: Given, load: float) -> tuple[dict[str, object], tuple[str, ...]]:
    """Keys and notes on the torque factor, and on how far the load may stray."""
    k = given.get("k", torque.ASSUMED_K)
    low, high = torque.load_range(load)
    dry, oiled = (100 * torque.SCATTER[name] for name in ("dry", "lubricated"))
    known = "; ".join(f"{row.condition} {row.k:.2f}" for row in torque.TORQUE_FACTORS[1:])
    keys: dict[str, object] = {"k": k, "k_assumed": "k" not in given}
    keys |= {"load_low_N": round(low, 6), "load_high_N": round(high, 6)}
    given_or_not = "is assumed" if "k" not in given else "is given, and an assumption still"
    return keys, (
        f"K = {k:g} {given_or_not}; other conditions: {known}",
        f"from bolt to bolt one torque gives {low:.0f} to {high:.0f} N: +-{dry:.0f} % dry, "
        f"+-{oiled:.0f} % lubricated (NASA-STD-5020, Table 3, as quoted elsewhere)",
    )


def _load_extra(given: Given, value: float) -> Extra:
    keys, notes = _scatter(given, value)
    return Extra(keys, (*notes, _TO_YIELD))


def _share_sum(typed: Typed) -> str:
    thread = threads.thread_named(typed["thread"][0])
    stress = threads.strengths(threads.class_named(typed["class"][0]), thread.diameter)[2]
    used = f"({_k_of(typed)} x {thread.diameter:g} x {stress:g} x {thread.stress_area:.3f})"
    return f"{typed['torque'][0]} x 1000 / {used}"


def _share_extra(given: Given, value: float) -> Extra:
    thread, grade = given["thread"], given["property_class"]
    load = torque.clamp_load(given["torque"], thread.diameter, given.get("k", torque.ASSUMED_K))
    keys, notes = _scatter(given, load)
    proof = threads.proof_load(thread, grade)
    stress = threads.strengths(grade, thread.diameter)[2]
    most = value * (1.0 + torque.SCATTER["dry"])
    first = [
        f"clamp load {load:.0f} N of a proof load of {proof:.0f} N "
        f"({stress:g} MPa x {thread.stress_area:.2f} mm^2): {100 * value:.1f} %"
    ]
    if value > 1.0:
        first.append("more than its proof load: the bolt would stay stretched")
    elif most > 1.0:
        first.append(f"within the scatter some bolts would pass their proof load (x {most:.2f})")
    boss = (
        "this is the bolt's share: a thread in an aluminium boss usually gives way first, and "
        "governs"
    )
    keys |= {"load_N": round(load, 6), "proof_load_N": round(proof, 6)}
    keys |= {"stress_area_mm2": round(thread.stress_area, 6), "proof_stress_MPa": stress}
    return Extra(keys, (*first, boss, *notes, _TO_YIELD))


CLAMP: Final[tuple[Calculation, ...]] = (
    Calculation(
        "torque-adapter",
        "What to set a torque wrench to with an adapter or crow-foot on it.",
        (
            Option("torque", "the torque wanted at the fastener", "25", "torque", above=0.0),
            Option(
                "wrench",
                "the wrench from the centre of its drive to the middle of the grip",
                "380",
                above=0.0,
                highest=3000.0,
            ),
            Option(
                "adapter",
                "the adapter from the centre of the drive to the centre of the fastener",
                "45",
                lowest=0.0,
                highest=2000.0,
            ),
            Option(
                "angle",
                "the adapter's angle: 0 straight out (assumed if left out), 90 square, 180 folded "
                "back",
                "45",
                "angle",
                least=0,
                lowest=0.0,
                highest=180.0,
            ),
        ),
        torque.adapter_setting,
        "torque",
        2,
        "setting = torque x wrench / (wrench + adapter x cos angle)",
        "moments about the fastener; US Army TM 1-1500-204-23-9 (0 deg), NAVEDTRA 14008 (90 deg)",
        _adapter_sum,
        _adapter_extra,
    ),
    Calculation(
        "clamp-load",
        "The clamp load that a torque gives, with its scatter.",
        (
            _TORQUE,
            Option("diameter", "the nominal diameter of the thread", "8", above=0.0, highest=100.0),
            _K,
        ),
        torque.clamp_load,
        "force",
        0,
        "load = torque / (K x diameter)",
        _SHIGLEY,
        lambda typed: f"{typed['torque'][0]} x 1000 / ({_k_of(typed)} x {typed['diameter'][0]})",
        _load_extra,
    ),
    Calculation(
        "proof-share",
        "The share of a bolt's proof load that a torque uses up.",
        (
            _TORQUE,
            Option("thread", "the metric thread", "M8x1.25", "name", reader=threads.thread_named),
            Option(
                "class",
                "the property class stamped on the head",
                "8.8",
                "name",
                parameters=("property_class",),
                reader=threads.class_named,
            ),
            _K,
        ),
        torque.proof_share,
        "number",
        3,
        "share = torque / (K x diameter x proof stress x stress area)",
        f"{_SHIGLEY}; ISO 898-1:2013, Table 3",
        _share_sum,
        _share_extra,
    ),
)
