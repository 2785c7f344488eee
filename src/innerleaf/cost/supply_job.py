"""The supply list that holds for a job."""

from __future__ import annotations

from innerleaf.cost.supply import Supply
from innerleaf.cost.supply_file import load_supply
from innerleaf.errors import InputError
from innerleaf.job.model import Job
from innerleaf.job.schema_buying import Buying
from innerleaf.practice.model import Practice


def supply_of_job(job: Job, practice: Practice) -> Supply:
    """The firm's own list; that of the practice set where the firm has neither it nor a price list.

    Raises
    ------
    FileFaults
        The firm's list cannot be used.
    InputError
        The job speaks of a supplier that is not in it.
    """
    supply = load_supply(practice, job.supply, offers_of_set=job.prices is None)
    check_suppliers(job.buying, supply)
    return supply


def check_suppliers(buying: Buying, supply: Supply) -> None:
    """Are the suppliers that a job names there? If not, an `InputError`."""
    for field, names in (("leave_out", buying.leave_out), ("prefer", buying.prefer)):
        for name in names:
            if name not in supply.suppliers:
                known = ", ".join(supply.suppliers) or "(there are none)"
                accepted = f"a supplier of the supply list: {known}"
                raise InputError(f"buying.{field}", given=name, accepted=accepted)
