package criterion

import (
	"encoding/json"
	"fmt"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"

	"newel/internal/exact"
)

// demoSeries is one placement of the demonstration data; all names are
// invented.
type demoSeries struct {
	Series    string `json:"series"`
	Criterion string `json:"criterion"`
	StepBack  string `json:"step_back"`
	Want      struct {
		Status       Status     `json:"status"`
		Flags        []FlagKind `json:"flags"`
		MetAt        int        `json:"met_at"`
		FirstStalled int        `json:"first_stalled"`
		FirstFlag    FlagKind   `json:"first_flag"`
	} `json:"want"`
	Sessions []struct {
		Day     int    `json:"day"`
		By      string `json:"by"`
		Place   string `json:"place"`
		Correct int    `json:"correct"`
		Trials  int    `json:"trials"`
		Seconds int    `json:"seconds"`
	} `json:"sessions"`
}

func (d demoSeries) toCase() Case {
	var words []string
	for _, s := range d.Sessions {
		w := fmt.Sprintf("%d/%d day=%d by=%s", s.Correct, s.Trials, s.Day, s.By)
		if s.Seconds > 0 {
			w += fmt.Sprintf(" lat=%d", s.Seconds)
		}
		words = append(words, w)
	}
	c := caseOf(d.Criterion, words...)
	for i, s := range d.Sessions {
		c.Sessions[i].Place = s.Place
	}
	c.StepBack = d.StepBack
	return c
}

// TestDemo: at which session each series is met was written down with the
// demonstration data, independently of this package. All series have fewer than
// 12 sessions, too few to ask about a gain, or are met.
func TestDemo(t *testing.T) {
	t.Parallel()
	b, err := os.ReadFile("testdata/demo.json")
	if err != nil {
		t.Fatal(err)
	}
	var all []demoSeries
	if err := json.Unmarshal(b, &all); err != nil {
		t.Fatal(err)
	}
	for _, d := range all {
		t.Run(d.Series, func(t *testing.T) {
			t.Parallel()
			d.check(t)
		})
	}
}

func (d demoSeries) check(t *testing.T) {
	c := d.toCase()
	r := mustEvaluate(t, c)
	kinds := []FlagKind{}
	for _, f := range r.Flags {
		kinds = append(kinds, f.Kind)
	}
	if r.Status != d.Want.Status || !cmp.Equal(kinds, d.Want.Flags) {
		t.Errorf("%s %v, want %s %v", r.Status, kinds, d.Want.Status, d.Want.Flags)
	}
	metBy := ""
	if r.MetBy != nil {
		metBy = *r.MetBy
	}
	wantMet := ""
	if d.Want.MetAt > 0 {
		wantMet = fmt.Sprintf("s%d", d.Want.MetAt)
	}
	if metBy != wantMet {
		t.Errorf("met by %q, want %q", metBy, wantMet)
	}
	first, why := firstStalled(t, c)
	if first != d.Want.FirstStalled {
		t.Errorf("first stalled at session %d, want %d", first, d.Want.FirstStalled)
	}
	if d.Want.FirstFlag != "" && why != d.Want.FirstFlag {
		t.Errorf("first stalled by %s, want %s", why, d.Want.FirstFlag)
	}
}

// firstStalled evaluates after each session in turn.
func firstStalled(t *testing.T, c Case) (session int, why FlagKind) {
	for n := 1; n <= len(c.Sessions); n++ {
		part := c
		part.Sessions = c.Sessions[:n]
		part.AsOf = c.Sessions[n-1].EndedAt
		if r := mustEvaluate(t, part); r.Status == StatusStalled {
			return n, r.Flags[0].Kind
		}
	}
	return 0, ""
}

func TestDemoFloorDefaults(t *testing.T) {
	t.Parallel()
	c := caseOf("80% in 3 sessions", "8/10")
	c.Rules = Rules{Long: pointer(DefaultLong), FloorPercent: pointer(exact.Int(DefaultFloorPercent)), IdleDays: pointer(DefaultIdleDays)}
	plain := caseOf("80% in 3 sessions", "8/10")
	if diff := cmp.Diff(mustEvaluate(t, plain), mustEvaluate(t, c)); diff != "" {
		t.Errorf("the defaults are not the defaults: %s", diff)
	}
}
