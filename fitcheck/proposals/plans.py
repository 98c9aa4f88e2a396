"""The plans that there are, by what they are asked for."""

from __future__ import annotations

from fitcheck.proposals.around import CollarPlan, SleevePlan
from fitcheck.proposals.bases import DoubleWallPlan, HingedPlan, ShadowBoxPlan, TuckEndPlan
from fitcheck.proposals.plan import Plan
from fitcheck.proposals.within import DividersPlan, MatPlan, PlatformPlan

OURS: tuple[Plan, ...] = (
    Plan(),
    ShadowBoxPlan(),
    DoubleWallPlan(),
    HingedPlan(),
    TuckEndPlan(),
    SleevePlan(),
    CollarPlan(),
    DividersPlan(),
    MatPlan(),
    PlatformPlan(),
)
PLANS: dict[str, Plan] = {plan.style: plan for plan in OURS}
"""In the order in which `fitcheck list styles` tells them."""
