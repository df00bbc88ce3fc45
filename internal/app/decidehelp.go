package app

import (
	"context"

	"newel/internal/criterion"
	"newel/internal/newel"
	"newel/internal/postgres"
	"newel/internal/program"
)

// helpTo returns the help that the decision would plan.
func (c *decider) helpTo(kind newel.DecisionKind) (level string, is bool) {
	return program.HelpLevelAt(c.version.Document.HelpNames(), c.placement.PlannedHelp, kind.HelpStep())
}

// ruleForHelp reports whether the program's own rule suggests the decision.
func (c *decider) ruleForHelp(kind newel.DecisionKind) bool {
	_, raised := c.said.Flag(criterion.FlagKind(kind))
	return raised
}

// checkHelp requires a level that exists and that the learner's care allows.
func (c *decider) checkHelp(kind newel.DecisionKind, e *newel.Invalid) {
	level, is := c.helpTo(kind)
	switch {
	case !is:
		e.Add("kind", "decide.no_help")
	case c.version.Document.Touches(level) && !c.learner.Care.TouchAllowed:
		e.Add("kind", "decide.help_touch", "level", level)
	}
}

// moveHelp changes the planned help. The placement stays open, and its prompt
// rules are evaluated again.
func (c *decider) moveHelp(ctx context.Context, tx *postgres.Tx, d newel.Decision) error {
	if err := tx.AddDecision(ctx, d); err != nil {
		return err
	}
	if err := tx.SetPlannedHelp(ctx, c.placement.ID, d.Help); err != nil {
		return err
	}
	return c.app.evaluateAgain(ctx, tx, c.placement.ID)
}
