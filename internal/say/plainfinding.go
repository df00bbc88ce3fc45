package say

import (
	"math"
	"strconv"

	"newel/internal/criterion"
	"newel/internal/message"
	"newel/internal/view"
)

// plainFindings returns a placement's findings in the family's words, without
// links: families do not open single sessions.
func plainFindings(t *message.Printer, stay view.Stay) []view.Finding {
	out := plainFinder{finder{t: t, stay: stay}}.all()
	for i, target := range stay.Said.Targets {
		f := plainFinder{finder{t: t, stay: stay.OfTarget(target), of: strconv.Itoa(i+1) + "-"}}
		for _, found := range f.all() {
			found.Text = t.Text("finding.target", "target", stay.TargetName(target.Target), "text", found.Text)
			out = append(out, found)
		}
	}
	for _, found := range out {
		for _, g := range found.Groups {
			for i := range g.Sessions {
				g.Sessions[i].Href = ""
			}
		}
	}
	return out
}

// plainFinder finds the same as finder and says it to families. It leaves out
// how often one session reaches the goal, which asks nothing of them.
type plainFinder struct{ finder }

func (f plainFinder) all() []view.Finding {
	var out []view.Finding
	if found, is := f.thirds(); is {
		p := f.stay.Said.Progress
		found.Text = f.t.Text("plain.thirds", "third", p.Third, "n", p.Sessions, "newest", f.stay.Value(p.Newest), "oldest", f.stay.Value(p.Oldest))
		found.Rule = f.t.Text("plain.thirds_rule" + percentKey(f.stay.Criterion.Goal.Measure.Percent()))
		out = append(out, found)
	}
	if found, is := f.nearly(); is {
		found.Text, found.Rule = f.t.Text("plain.close"), f.t.Text("plain.close_rule")
		out = append(out, found)
	}
	if found, is := f.evidence(); is {
		found.Text, found.Rule = f.evidenceText(), f.t.Text("plain.evidence_rule")
		out = append(out, found)
	}
	return out
}

func (f plainFinder) evidenceText() string {
	e, estimate := f.stay.Said.Evidence, f.stay.Said.Estimate
	if e.Strength == criterion.Thin {
		return f.t.Text("plain.thin", "have", e.Correct, "n", e.Trials)
	}
	text := f.t.Text("plain.fair", "have", e.Correct, "n", e.Trials)
	if estimate != nil {
		text += " " + f.t.Text("plain.range", "share", f.t.OutOf(estimate.Correct, estimate.Trials), "low", f.t.Percent(math.Round(estimate.Low)), "high", f.t.Percent(math.Round(estimate.High)))
	}
	return text
}
