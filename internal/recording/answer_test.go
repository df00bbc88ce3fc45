package recording

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/measure"
)

// TestCorrectedAnswer: whoever corrects an outcome changes neither what was
// asked nor how long it took.
func TestCorrectedAnswer(t *testing.T) {
	t.Parallel()
	was := Answer{
		Target: "cup", Outcome: measure.Incorrect, LatencyMS: ms(1200), RecoveryMS: ms(41_000), Adjusted: true, Choices: 3, Position: 2,
		Expected: []Expected{{"waits", measure.Incorrect, ""}},
	}
	for outcome, want := range map[measure.Outcome]Answer{
		measure.Correct:    {Target: "cup", Outcome: measure.Correct, Help: "model", LatencyMS: ms(1200), RecoveryMS: ms(41_000), Adjusted: true, Choices: 3, Position: 2},
		measure.NoResponse: {Target: "cup", Outcome: measure.NoResponse, Help: "model", RecoveryMS: ms(41_000), Adjusted: true, Choices: 3, Position: 2},
		measure.Declined:   {Target: "cup", Outcome: measure.Declined, Help: "model", Choices: 3, Position: 2},
	} {
		if diff := cmp.Diff(want, was.Corrected(outcome, "model")); diff != "" {
			t.Errorf("%s (-want +got):\n%s", outcome, diff)
		}
	}
}
