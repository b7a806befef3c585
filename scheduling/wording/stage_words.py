"""How far a search is, in words."""

from scheduling.core.planner import RunProgress, Stage

STAGES = {
    Stage.STARTING: "making a first plan",
    Stage.TRYING: "trying other places",
    Stage.PROVING: "working out how good a plan can be",
    Stage.ROUNDING: "turning that into plans",
    Stage.IMPROVING: "improving a few machines at a time",
    Stage.EXPLAINING: "writing down the reasons",
}


def stage_words(progress: RunProgress) -> str:
    """Return what the planner is doing."""
    if progress.stage is not Stage.PLANNED:
        return STAGES[progress.stage]
    if progress.yards == 1:
        return "planned"
    return f"{progress.planned} of {progress.yards} yards planned"
