package say

import (
	"math"
	"strconv"

	"newel/internal/criterion"
	"newel/internal/message"
	"newel/internal/view"
)

// shownOn is the page that shows findings.
type shownOn struct {
	prefix string // begins the ids on it
	all    string // address of the page that has all sessions; empty for this one
}

// finder collects what a reading says beyond its status: whether the child is
// gaining, how close the goal is, how much the trials say that met it.
type finder struct {
	t    *message.Printer
	stay view.Stay
	on   shownOn
	of   string // begins the names of one target's findings
}

// findingsOf returns a placement's findings for staff.
func findingsOf(t *message.Printer, stay view.Stay, on shownOn) []view.Finding {
	out := finder{t: t, stay: stay, on: on}.all()
	for i, target := range stay.Said.Targets {
		f := finder{t, stay.OfTarget(target), on, strconv.Itoa(i+1) + "-"}
		for _, found := range f.all() {
			found.Text = t.Text("finding.target", "target", stay.TargetName(target.Target), "text", found.Text)
			out = append(out, found)
		}
	}
	return out
}

func (f finder) all() []view.Finding {
	var out []view.Finding
	for _, find := range []func() (view.Finding, bool){f.thirds, f.nearly, f.session, f.evidence} {
		if found, is := find(); is {
			out = append(out, found)
		}
	}
	return out
}

// thirds compares the newest third of the latest sessions with the oldest.
func (f finder) thirds() (view.Finding, bool) {
	p := f.stay.Said.Progress
	if p == nil {
		return view.Finding{}, false
	}
	text := f.t.Text("finding.thirds", "third", p.Third, "n", p.Sessions, "newest", f.stay.Value(p.Newest), "oldest", f.stay.Value(p.Oldest))
	percent := f.stay.Criterion.Goal.Measure.Percent()
	if f.stay.Criterion.Second == nil { // of two goals, these are the means of the first
		key := "finding.thirds_more"
		if !gained(p, f.stay.Criterion.Goal) {
			key = "finding.thirds_less"
		}
		text += " " + f.t.Text(key+percentKey(percent))
	}
	rule := f.t.Text("finding.thirds_rule" + percentKey(percent))
	if f.prompted() {
		rule += " " + f.t.Text("finding.prompted")
	}
	return f.found("thirds", text, rule, thirdsOf(f.t, f.stay, p)...), true
}

func percentKey(percent bool) string {
	if percent {
		return ""
	}
	return "_share"
}

// lacksGain reports whether a flag says that there is no gain.
func (f finder) lacksGain() bool {
	for _, kind := range []criterion.FlagKind{criterion.Flat, criterion.Uneven, criterion.Long, criterion.Close} {
		if _, is := f.stay.Said.Flag(kind); is {
			return true
		}
	}
	return false
}

// gained reports whether the newest mean is better than the oldest by more than
// 10 points, or by more than 10 % of it. Flags are decided exactly, in package
// criterion; this only chooses the words beside both means, and a reading keeps
// the means as the nearest floats. Exactly that much is no gain, so a lead that
// differs from it only as much as rounding does counts as equal. No other lead
// of percentages is as close if all sessions have the same number of trials, up
// to 1,000, or any numbers up to 20.
func gained(p *criterion.Progress, goal criterion.Goal) bool {
	if p.Newest == nil || p.Oldest == nil {
		return p.Newest != nil
	}
	lead, need := *p.Newest-*p.Oldest, 10.0
	if goal.LowerIsBetter() {
		lead = -lead
	}
	if !goal.Measure.Percent() {
		need = *p.Oldest / 10
	}
	const rounding = 1e-12 // relative; two means of 16 digits differ by a little less
	return lead > need*(1+rounding)
}

// prompted reports whether the latest sessions had planned help.
func (f finder) prompted() bool {
	last := f.stay.LastRated(1)
	return len(last) > 0 && last[0].Of.PlannedHelp != "" && f.stay.Criterion.Goal.Measure == criterion.Accuracy
}

// thirdsOf returns the sessions of both thirds and those between them.
func thirdsOf(t *message.Printer, stay view.Stay, p *criterion.Progress) []view.FindingGroup {
	list := stay.LookBack()
	if list == nil {
		return nil
	}
	var groups []view.FindingGroup
	for _, g := range []struct {
		key      string
		from, to int
	}{{"finding.oldest", 0, p.Third}, {"finding.between", p.Third, len(list) - p.Third}, {"finding.newest", len(list) - p.Third, len(list)}} {
		if g.from < g.to {
			groups = append(groups, view.FindingGroup{Name: t.Text(g.key, "n", g.to-g.from), Sessions: sessionsOf(t, list[g.from:g.to], stay.RuleResult)})
		}
	}
	return groups
}

func sessionsOf(t *message.Printer, list []view.Recorded, value func(view.Recorded) string) []view.FindingSession {
	lines := make([]view.FindingSession, len(list))
	for i, r := range list {
		lines[i] = view.FindingSession{Day: t.DayShort(r.Day), Value: value(r), Href: r.Href}
	}
	return lines
}

// found returns a finding with the sessions that it is based on, or with a link
// to them if this page does not have them.
func (f finder) found(name, text, rule string, groups ...view.FindingGroup) view.Finding {
	id := "finding-" + f.of + name
	out := view.Finding{ID: f.on.prefix + id, Text: text, Rule: rule}
	for _, g := range groups {
		if len(g.Sessions) > 0 {
			out.Groups = append(out.Groups, g)
		}
	}
	if len(out.Groups) == 0 && f.on.all != "" {
		out.More = &view.Link{Label: f.t.Text("finding.open"), Href: f.on.all + "#" + id}
	}
	return out
}

// closeSessions is how many of the latest sessions the flag "close" looks at.
const closeSessions = 8

// nearly says how close a placement is that one error keeps from the goal.
func (f finder) nearly() (view.Finding, bool) {
	if _, is := f.stay.Said.Flag(criterion.Close); !is {
		return view.Finding{}, false
	}
	sessions := sessionsOf(f.t, f.stay.LastCompared(closeSessions), f.stay.RuleResult)
	return f.found("close", f.t.Text("finding.close"), f.t.Text("finding.close_rule"), view.FindingGroup{Sessions: sessions}), true
}

// estimateSessions is how many of the latest sessions an estimate combines.
const estimateSessions = 5

// session says how often one session reaches the goal at the present accuracy,
// if there is no gain.
func (f finder) session() (view.Finding, bool) {
	e := f.stay.Said.Estimate
	_, close := f.stay.Said.Flag(criterion.Close)
	if e == nil || e.Session == nil || close || !f.lacksGain() {
		return view.Finding{}, false
	}
	rule := f.t.Text("finding.session_rule", "share", f.t.OutOf(e.Correct, e.Trials))
	sessions := sessionsOf(f.t, f.stay.LastRated(estimateSessions), f.stay.Worth)
	return f.found("session", oftenText(f.t, *e.Session), rule, view.FindingGroup{Sessions: sessions}), true
}

// oftenText words a probability that one session reaches the goal. It is
// known to 1e-6, and only the words depend on these limits.
func oftenText(t *message.Printer, p float64) string {
	switch n := int(math.Floor(1/p + 0.5)); {
	case p < 0.005:
		return t.Text("finding.session_hardly")
	case p > 0.95:
		return t.Text("finding.session_nearly")
	case n < 2: // 1 session in 1
		return t.Text("finding.session_most")
	default:
		return t.Text("finding.session", "n", n)
	}
}

// evidence says how much the trials tell that met the criterion, unless they
// tell enough. The probability behind it is too high to show: the sessions were
// chosen because they were good.
func (f finder) evidence() (view.Finding, bool) {
	e := f.stay.Said.Evidence
	if e == nil || e.Strength == criterion.Good {
		return view.Finding{}, false
	}
	text := f.t.Text("finding.thin", "have", e.Correct, "n", e.Trials)
	if e.Strength == criterion.Fair {
		text = f.t.Text("finding.fair", "have", e.Correct, "n", e.Trials)
		if estimate := f.stay.Said.Estimate; estimate != nil {
			text += " " + f.t.Text("finding.range", "share", f.t.OutOf(estimate.Correct, estimate.Trials), "low", f.t.Percent(math.Round(estimate.Low)), "high", f.t.Percent(math.Round(estimate.High)))
		}
	}
	key := "finding.evidence_rule"
	if f.stay.Criterion.Goal.LowerIsBetter() {
		key = "finding.evidence_rule_lower"
	}
	rule := f.t.Text(key, "percent", f.t.Percent(e.Percent), "n", e.Trials)
	return f.found("evidence", text, rule, view.FindingGroup{Sessions: sessionsOf(f.t, f.stay.Weighed(), f.stay.Worth)}), true
}
