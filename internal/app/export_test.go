package app

import "newel/internal/criterion"

// SetEvaluator puts another evaluator in place of criterion.Evaluate.
func (a *App) SetEvaluator(e func(criterion.Case, int) (criterion.Reading, error)) { a.evaluate = e }
