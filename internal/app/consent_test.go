package app_test

import (
	"testing"

	"github.com/jackc/pgx/v5"

	"newel/internal/app"
)

// TestConsentWithdrawn checks that nothing is taught without consent, and that
// giving consent again restores everything.
func TestConsentWithdrawn(t *testing.T) {
	t.Parallel()
	for _, kind := range []string{"teaching", "recording"} {
		t.Run(kind, func(t *testing.T) {
			t.Parallel()
			b := newBench(t)
			withdraw := func(on any) {
				t.Helper()
				_, err := b.DB.Bypass.Exec(t.Context(), `update consent set withdrawn_on = @on where learner_id = @learner and kind = @kind`,
					pgx.NamedArgs{"on": on, "learner": b.Home.Learner, "kind": kind})
				if err != nil {
					t.Fatal(err)
				}
			}
			offered := func() int {
				t.Helper()
				day, err := b.app.PhoneDay(t.Context(), b.Home.Caregiver, app.PhoneReport{})
				if err != nil {
					t.Fatal(err)
				}
				n := 0
				for _, l := range day.Learners {
					if l.Next != nil {
						n++
					}
				}
				return n
			}
			if offered() != 1 {
				t.Fatal("nothing is offered despite consent")
			}
			withdraw("2026-03-02")
			if offered() != 0 {
				t.Error("offered after the consent was withdrawn")
			}
			withdraw(nil)
			if offered() != 1 {
				t.Error("not offered after the consent was given again")
			}
		})
	}
}
