package app

import "newel/internal/criterion"

// SetEvaluator replaces the evaluator.
func (a *App) SetEvaluator(e func(criterion.Case, int) (criterion.Reading, error)) { a.evaluate = e }
