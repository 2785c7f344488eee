"""Cost, hours, mass, waste and carbon of all options at once, from the bills of their trial layouts.

A trial's bill is taken apart into what every option of that frame shares and what options exchange: boards
and screws layer by layer, slabs, membrane, brackets. Both figures of a finalist are shown: this estimate
and its own bill.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from innerleaf.design.choice import bill as parts
from innerleaf.design.choice.bill import Bill, carbon_of, priced, work_of
from innerleaf.design.choice.criteria import Floats, Ints
from innerleaf.design.choice.options import Options
from innerleaf.design.choice.trial import Trials
from innerleaf.practice.model import Practice
from innerleaf.practice.prices import Operation, PriceList

PerUnit = Callable[[str, str], float]


@dataclass(frozen=True, slots=True, eq=False)
class _Amounts:
    """What each trial takes of what options exchange; first axis: trials, second: board layers."""

    board: Floats  # m²
    reveal: Floats  # m², of the first layer's board
    screws: Floats  # pieces
    slab: Floats  # m² of one layer of insulation
    membrane: Floats  # m²


class Estimate:
    """Sums over options, part by part; arrays have shape (options,)."""

    def __init__(self, options: Options, trials: Trials, practice: Practice, prices: PriceList) -> None:
        self.options, self.trials, self.practice, self.prices = options, trials, practice, prices
        bills = [trial.bill for trial in trials.trials]
        most = int(options.layers.max())
        self.bought = _amounts(bills, practice, most, bought=True)
        self.used = _amounts(bills, practice, most, bought=False)
        self.common = [priced(_only(bill, (parts.FIXED,)), prices) for bill in bills]
        self.seals = [priced(_only(bill, (parts.MEMBRANE,), "consumables"), prices) for bill in bills]
        self.slabs = np.array([len(stack) for stack in options.stacks])

    def material(self) -> Floats:
        """Price of what is bought, in the currency of the list."""
        fixed = np.array([sums.material for sums in self.common])[self.trials.of]
        seals = np.array([sums.material for sums in self.seals])[self.trials.of]
        own = self._sum(self.prices.price, self.bought)
        return np.asarray(fixed + own + np.where(self.options.membrane_given, seals, 0.0))

    def labour(self) -> Floats:
        """Price of the work."""
        return self._work(1, "labour")

    def hours(self) -> Floats:
        """Hours of all persons. [h]"""
        return self._work(0, "hours")

    def mass(self) -> Floats:
        """Mass as built. [kg]"""
        fixed = np.array([sums.mass_kg for sums in self.common])[self.trials.of]
        return np.asarray(fixed + self._sum(self._mass, self.used))

    def waste(self) -> Floats:
        """Mass bought but not built in. [kg]"""
        fixed = np.array([sums.waste_kg for sums in self.common])[self.trials.of]
        lost = self._sum(self._mass, self.bought) - self._sum(self._mass, self.used)
        return np.asarray(fixed + lost)

    def carbon(self) -> Floats:
        """Embodied carbon, not a number where an article has no figure. [kg CO2e]"""
        fixed = [
            sum(carbon_of(entry, self.prices) for entry in trial.bill.entries if entry.part == parts.FIXED)
            for trial in self.trials.trials
        ]

        def per_unit(section: str, article: str) -> float:
            return 0.0 if section == "screws" else self.prices.carbon_of(section, article)

        return np.asarray(np.array(fixed)[self.trials.of] + self._sum(per_unit, self.bought))

    def _sum(self, per_unit: PerUnit, amounts: _Amounts) -> Floats:
        """What options exchange, times its figure for one unit."""
        options, of = self.options, self.trials.of
        boards = self._by_layer(lambda packet, k: per_unit("boards", packet[k]))[options.packet]
        screws = self._by_layer(lambda packet, k: self._per_screw(per_unit, packet, k))[options.packet]
        total = (amounts.board[of] * boards).sum(axis=1) + amounts.reveal[of] * boards[:, 0]
        total += (amounts.screws[of] * screws).sum(axis=1)
        stack = np.array([sum(per_unit("insulation", item) for item in each) for each in options.stacks])
        total += amounts.slab[of] * (stack[options.between] + stack[options.behind])
        film = np.array([per_unit("membranes", name) if name else 0.0 for name in options.membranes])
        total += np.where(options.membrane_given, amounts.membrane[of] * film[options.membrane], 0.0)
        return np.asarray(total + self._brackets(per_unit))

    def _by_layer(self, figure: Callable[[Sequence[str], int], float]) -> Floats:
        """A figure of each layer of each packet, 0 beyond its layers, (packets, layers)."""
        packets = self.options.packets
        table = np.zeros((len(packets), int(self.options.layers.max())))
        for number, packet in enumerate(packets):
            table[number, : len(packet)] = [figure(packet, k) for k in range(len(packet))]
        return table

    def _per_screw(self, per_unit: PerUnit, packet: Sequence[str], layer: int) -> float:
        """Of one screw through so many layers, chosen as the layout does."""
        need = sum(self.practice.boards[name].thickness_mm for name in packet[: layer + 1])
        need += self.practice.rules.screw_beyond_steel_min_mm
        ordered = sorted(self.practice.screws.values(), key=lambda screw: screw.length_mm)
        screw = next((each for each in ordered if each.length_mm >= need), ordered[-1])
        return per_unit("screws", screw.id) / screw.pack

    def _brackets(self, per_unit: PerUnit) -> Floats:
        """Brackets, each the shortest that reaches from its place to a frame that stands where it does."""
        options = self.options
        pairs = np.stack([self.trials.of, options.back_mm], axis=1)
        kinds, of = np.unique(pairs, axis=0, return_inverse=True)
        sums = np.array([self._of_brackets(per_unit, int(trial), int(back)) for trial, back in kinds])
        return np.asarray(sums[of.reshape(-1)])

    def _of_brackets(self, per_unit: PerUnit, trial: int, back_mm: int) -> float:
        plan = self.trials.trials[trial].plan
        named = self.options.bracket
        known = [b for b in self.practice.brackets.values() if named in ("", b.id)]
        known.sort(key=lambda bracket: bracket.reach_max_mm)
        further = back_mm - plan.build_up.frame_back_mm
        total = 0.0
        for place in plan.brackets:
            off = place.projection_mm + further
            item = next((b for b in known if b.reach_min_mm <= off <= b.reach_max_mm), known[-1])
            total += per_unit("brackets", item.id)
        return total

    def _mass(self, section: str, article: str) -> float:
        """Mass of one unit. [kg]"""
        if section == "boards":
            return self.practice.boards[article].mass_kg_m2
        if section == "insulation":
            slab = self.practice.insulation[article]
            return slab.thickness_mm / 1000 * slab.density_kg_m3
        return self.practice.brackets[article].mass_kg if section == "brackets" else 0.0

    def _work(self, which: int, name: str) -> Floats:
        """Hours (0) or their price (1)."""
        options, of = self.options, self.trials.of

        def rate(operation: Operation) -> float:
            return work_of(self.prices, operation)[which]

        fixed = np.array([getattr(sums, name) for sums in self.common])[of]
        own = [
            priced(_only(trial.bill, (parts.BRACKET,)), self.prices) for trial in self.trials.trials
        ]  # brackets are as many wherever the frame stands
        fixed = fixed + np.array([getattr(sums, name) for sums in own])[of]
        boards = (self.used.board.sum(axis=1) + self.used.reveal)[of] * rate(Operation.BOARD)
        number = self.slabs[options.between] + self.slabs[options.behind]
        slabs = self.used.slab[of] * number * rate(Operation.INSULATION)
        seals = np.array([getattr(sums, name) for sums in self.seals])[of]
        film = self.used.membrane[of] * rate(Operation.MEMBRANE) + seals
        return np.asarray(fixed + boards + slabs + np.where(options.membrane_given, film, 0.0))


def _only(bill: Bill, which: Sequence[str], section: str = "") -> Bill:
    """The parts of a bill; of a section only, their work of sealing with it."""
    return Bill(
        tuple(e for e in bill.entries if e.part in which and section in ("", e.section)),
        tuple(
            t for t in bill.tasks if t.part in which and not (section and t.operation != Operation.SEALANT)
        ),
    )


def _amounts(bills: Sequence[Bill], practice: Practice, layers: int, *, bought: bool) -> _Amounts:
    """Amounts of what options exchange, trial by trial."""

    def amount(bill: Bill, part: str, section: str) -> float:
        found = (e for e in bill.entries if (e.part, e.section) == (part, section))
        return sum(entry.bought if bought else entry.used for entry in found)

    def screws(bill: Bill, layer: int) -> float:
        part = parts.screw_part(layer)
        return sum(e.used * practice.screws[e.article].pack for e in bill.entries if e.part == part)

    def one_slab(bill: Bill) -> float:
        layers_there = sum(1 for e in bill.entries if e.part == parts.INSULATION)
        return amount(bill, parts.INSULATION, "insulation") / max(1, layers_there)

    numbers = range(1, layers + 1)
    return _Amounts(
        board=np.array([[amount(b, parts.board_part(k), "boards") for k in numbers] for b in bills]),
        reveal=np.array([amount(b, parts.REVEAL, "boards") for b in bills]),
        screws=np.array([[screws(b, k) for k in numbers] for b in bills]),
        slab=np.array([one_slab(b) for b in bills]),
        membrane=np.array([amount(b, parts.MEMBRANE, "membranes") for b in bills]),
    )


def unpriced(trials: Trials, prices: PriceList) -> Ints:
    """Trials whose common parts need an article without a price."""
    found = [bool(parts.missing(trial.bill.entries, prices)) for trial in trials.trials]
    return np.flatnonzero(found)
