package letter

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/uuid"

	"newel/internal/newel"
	"newel/internal/strict"
)

func example() Letter {
	return Letter{
		Contract: Contract, ID: uuid.Must(uuid.NewV7()), Author: newel.NewID[newel.AccountID](), Kind: Answer, Of: newel.NewID[newel.QuestionID]().String(),
		At: time.Date(2026, 11, 30, 18, 40, 0, 0, time.UTC), Fields: map[string]string{"answer": "Twice, “<b>by himself</b>”."},
	}
}

func encoded(t *testing.T, l Letter) string {
	t.Helper()
	body, err := json.Marshal(l)
	if err != nil {
		t.Fatal(err)
	}
	return string(body)
}

func TestDecodeReturnsWhatWasWritten(t *testing.T) {
	t.Parallel()
	want := example()
	got, err := Decode([]byte(encoded(t, want)))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestDecodeNamesWhatIsWrong(t *testing.T) {
	t.Parallel()
	good := encoded(t, example())
	for name, tc := range map[string]struct{ from, to, path string }{
		"another version":   {`"letter":1`, `"letter":2`, "letter"},
		"no kind":           {`"kind":"answer"`, `"kind":"poem"`, "kind"},
		"unknown field":     {`"kind":`, `"mood":"good","kind":`, "mood"},
		"a number typed":    {`"Twice, `, `5,"more":"`, "fields.answer"},
		"a time of no kind": {`"at":"2026-`, `"at":"soon-`, "at"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := Decode([]byte(strings.Replace(good, tc.from, tc.to, 1)))
			var wrong *strict.Error
			if !errors.As(err, &wrong) || wrong.Path != tc.path {
				t.Errorf("%v; want an error at %s", err, tc.path)
			}
		})
	}
	old := example()
	old.ID = uuid.New()
	if _, err := Decode([]byte(encoded(t, old))); err == nil {
		t.Error("an id that does not sort by time was accepted")
	}
}
