package view

import (
	"math"
	"slices"
	"strings"

	"newel/internal/chart"
	"newel/internal/criterion"
	"newel/internal/measure"
	"newel/internal/message"
	"newel/internal/newel"
)

// Recorded is one session as pages show it: the recording and its evaluation.
type Recorded struct {
	Of    criterion.Session
	Read  criterion.SessionReading
	By    string // name of the person who taught
	Place string // where it was, in words
	Day   newel.Day
	Href  string
	Later bool // recorded afterwards
	// Corrected is how often it was corrected after closing.
	Corrected int
	// Unfit lists how it differed from its step (people, place, materials).
	Unfit []string
	// IntervalKind says what a marked interval means, empty if it is not known.
	IntervalKind string
}

// Stay is a placement as texts and drawings need it.
type Stay struct {
	T         *message.Printer
	Criterion criterion.Criterion
	Levels    []string // help levels, from least to most
	Said      criterion.Reading
	Sessions  []Recorded // oldest first
	// Names of the targets by key, where each has its own criterion.
	Names map[string]string
}

// SaidNo reports whether the child said no in the session, which graphs draw in
// a band of its own: it was stopped, or too many trials were refused.
func (r Recorded) SaidNo() bool {
	return !r.Of.Void && (r.Of.EndedEarly == criterion.EarlyDistress || r.Read.Barred != criterion.NotBarred)
}

// NewStay parses the canonical criterion. An invalid one (it was checked when
// the placement began) becomes the zero criterion: accuracy.
func NewStay(t *message.Printer, text string, levels []string, said criterion.Reading, sessions []Recorded) Stay {
	c, _ := criterion.Parse(text, criterion.Vocabulary{HelpLevels: levels, Targets: []string{"any"}})
	for i := range sessions {
		for _, r := range said.Sessions {
			if r.ID == sessions[i].Of.ID {
				sessions[i].Read = r
			}
		}
	}
	return Stay{T: t, Criterion: c, Levels: levels, Said: said, Sessions: sessions}
}

// most returns the rank of the highest help level that still counts.
func (s Stay) most() int {
	rank, _ := measure.Scale(s.Levels).Rank(s.Criterion.Goal.Level)
	return rank
}

// tally counts the correct and scored trials by the criterion.
func (s Stay) tally(r Recorded) (correct, scored int) {
	return measure.Tally(r.Of.Trials, measure.Scale(s.Levels), s.most())
}

// Result returns the result of one session: "4 of 5", or the value with its
// unit.
func (s Stay) Result(r Recorded) string {
	if len(r.Of.Trials) > 0 {
		switch s.Criterion.Goal.Measure {
		case criterion.Latency, criterion.Recovery, criterion.Errors:
		default:
			return s.T.OutOf(s.tally(r))
		}
	}
	if s.Criterion.Goal.Measure == criterion.Intervals && len(r.Of.Intervals) > 0 {
		kept := 0
		for _, yes := range r.Of.Intervals {
			if yes {
				kept++
			}
		}
		return s.T.OutOf(kept, len(r.Of.Intervals))
	}
	if r.Read.Over {
		return s.T.Text("value.over")
	}
	if r.Read.Value == nil {
		return s.T.Text("value.none")
	}
	return s.Value(r.Read.Value)
}

// Drawn returns what a graph shows of a session: its result, or that the child
// said no.
func (s Stay) Drawn(r Recorded) string {
	if r.SaidNo() {
		return s.T.Text("stop.graph_session")
	}
	return s.Result(r)
}

func unitOf(m criterion.Measure) string {
	switch m {
	case criterion.Rate:
		return "rate"
	case criterion.Errors:
		return "errors"
	case criterion.Latency, criterion.Recovery, criterion.TotalDuration, criterion.MeanDuration, criterion.LongestDuration:
		return "seconds"
	}
	return "percent"
}

// results joins the results of the sessions with these ids.
func (s Stay) results(ids []string, result func(Recorded) string) string {
	var out []string
	for _, r := range s.WithIDs(ids) {
		out = append(out, result(r))
	}
	return s.T.List(out)
}

// Marks returns the marks of a session's trials.
func (s Stay) Marks(r Recorded) []Mark {
	var marks []Mark
	for i := range r.Of.Trials {
		if !r.Of.Trials[i].Void {
			marks = append(marks, s.mark(&r.Of.Trials[i]))
		}
	}
	return marks
}

func (s Stay) mark(t *measure.Trial) Mark {
	switch t.Outcome {
	case measure.Correct:
		rank, _ := measure.Scale(s.Levels).Rank(t.Help)
		if t.Help != "" && rank == 0 {
			rank = 4
		}
		return HelpMark(rank)
	case measure.Incorrect:
		return MarkNotYet
	case measure.NoResponse:
		return MarkNoResponse
	case measure.Declined:
		return MarkSaidNo
	case measure.AdultPart:
		return MarkAdultPart
	}
	return MarkNoChance
}

// Met lists the sessions that justify advancing: the qualifying ones in the
// window of the session that met the criterion.
func (s Stay) Met() []string {
	if s.Said.MetBy == nil {
		return nil
	}
	if len(s.Said.Targets) > 0 {
		return s.metTargets()
	}
	var run []string
	for _, r := range s.Said.Sessions {
		if r.Qualifies {
			run = append(run, r.ID)
		}
		if r.ID == *s.Said.MetBy {
			break
		}
	}
	return run[max(0, len(run)-s.Criterion.Window.Need):]
}

// MetSentence says how the criterion was met.
func (s Stay) MetSentence() string {
	ids := s.Met()
	if n := len(s.Said.Targets); n > 0 {
		return s.T.Text("reason.met_targets", "n", n)
	}
	key := "reason.met_row"
	if !s.Criterion.Window.InARow() {
		key = "reason.met_of"
	}
	text := s.T.Text(key, "n", len(ids), "of", s.Criterion.Window.Of, "results", s.results(ids, s.Result))
	if people := s.people(ids); len(people) > 0 {
		text += " " + s.T.Text("reason.people", "people", strings.Join(people, s.T.Text("list.comma")))
	}
	return text
}

func (s Stay) people(ids []string) []string {
	var names []string
	for _, r := range s.Sessions {
		if slices.Contains(ids, r.Of.ID) && r.By != "" && !slices.Contains(names, r.By) {
			names = append(names, r.By)
		}
	}
	return names
}

// FlagSentence says why a flag was raised and how its sessions went, unless a
// Finding has the numbers. The results are those that the rule looked at: with
// the planned prompt or with any where those count.
func (s Stay) FlagSentence(f criterion.Flag) string {
	text := s.T.FlagReason(string(f.Kind), len(f.Sessions))
	key, result := "reason.results", s.Result
	switch f.Kind {
	case criterion.Distress, criterion.Flat, criterion.Uneven, criterion.Long, criterion.Close, criterion.DiffersByPerson, criterion.DiffersByPlace, criterion.OneSide:
		return text
	case criterion.Slower:
		key, result = "reason.results_times", s.time
	case criterion.HelpBound:
		key, result = "reason.results_prompted", s.prompted
	case criterion.Guessing, criterion.CheckAgain, criterion.Slipping:
	default:
		if s.planned(f.Sessions) {
			key, result = "reason.results_planned", s.withPlanned
		}
	}
	if results := s.results(f.Sessions, result); results != "" {
		text += " " + s.T.Text(key, "results", results)
	}
	return text
}

// time returns a session's median time until the response, or until the learner
// was steady again, whichever the criterion asks for.
func (s Stay) time(r Recorded) string {
	median := measure.Latency
	if second := s.Criterion.Second; s.Criterion.Goal.Measure == criterion.Recovery || second != nil && second.Measure == criterion.Recovery {
		median = measure.Recovery
	}
	switch v, known := median(r.Of.Trials); {
	case !known:
		return s.T.Text("value.none")
	case v.Over:
		return s.T.Text("value.over")
	default:
		return s.T.Text("value.seconds", "n", v.Number.Float64())
	}
}

// prompted returns a session's result with every prompt counted as correct.
func (s Stay) prompted(r Recorded) string {
	return s.T.OutOf(measure.Tally(r.Of.Trials, measure.Scale(s.Levels), len(s.Levels)))
}

// withPlanned returns a session's result with the planned prompt counted as
// correct.
func (s Stay) withPlanned(r Recorded) string { return s.T.OutOf(s.ruleTally(r)) }

// planned reports whether the planned prompt of one of these sessions counts
// for the rules, but not for the criterion.
func (s Stay) planned(ids []string) bool {
	if s.Criterion.Goal.Measure != criterion.Accuracy || s.Criterion.EachTarget {
		return false
	}
	return slices.ContainsFunc(s.WithIDs(ids), func(r Recorded) bool {
		rank, _ := measure.Scale(s.Levels).Rank(r.Of.PlannedHelp)
		return rank > s.most()
	})
}

// Leading returns the flag that a sentence about the placement is about: the
// first one. But a step that is done with prompts is not too large.
func (s Stay) Leading() (f criterion.Flag, raised bool) {
	if len(s.Said.Flags) == 0 {
		return f, false
	}
	if bound, is := s.Said.Flag(criterion.HelpBound); is && s.Said.Flags[0].Kind == criterion.Floor {
		return bound, true
	}
	return s.Said.Flags[0], true
}

// FlagNames joins the names of the raised flags.
func (s Stay) FlagNames() string {
	names := make([]string, len(s.Said.Flags))
	for i, f := range s.Said.Flags {
		names[i] = s.T.Flag(string(f.Kind))
	}
	return s.T.List(names)
}

// RestsOn returns the number of sessions behind the reading's reasons: those of
// the leading flag, or those that met the criterion unless a check has shown
// otherwise since.
func (s Stay) RestsOn() int { return len(s.reasons()) }

// reasons returns the ids of the sessions behind the reading's reasons.
func (s Stay) reasons() []string {
	if s.Said.Status == criterion.StatusMet {
		for _, kind := range []criterion.FlagKind{criterion.Slipping, criterion.CheckAgain} {
			if f, raised := s.Said.Flag(kind); raised {
				return f.Sessions
			}
		}
		return s.Met()
	}
	f, _ := s.Leading()
	return f.Sessions
}

// Status returns the status in one or two words.
func (s Stay) Status() string {
	if s.Said.Status == "" {
		return s.T.Status(string(criterion.StatusGathering))
	}
	return s.T.Status(string(s.Said.Status))
}

// Axis returns the name of a graph's y axis.
func (s Stay) Axis() string {
	return strings.TrimSuffix(s.T.Text("graph.axis_"+axisOf(s.Criterion.Goal)), ".")
}

// StatusLine returns the status in one line, with what the criterion still lacks.
func (s Stay) StatusLine() string {
	r := message.Reading{Status: string(s.Said.Status)}
	if r.Status == "" {
		r.Status = string(criterion.StatusGathering)
	}
	for _, l := range s.Said.Lacking {
		r.Lacking = append(r.Lacking, message.Shortfall{What: string(l.What), Have: l.Have, Need: l.Need})
	}
	for _, f := range s.Said.Flags {
		r.Flags = append(r.Flags, string(f.Kind))
	}
	return s.withTargets(s.T.Reading(r))
}

// Graph returns the sessions as numbers for a drawing.
func (s Stay) Graph() chart.GraphData {
	d := chart.GraphData{Top: 100, Every: 20, NoName: s.T.Text("stop.graph_band")}
	limit := s.Criterion.Goal.Limit().Float64()
	if !s.Criterion.Goal.Measure.Percent() {
		d.Top = s.top(limit)
		d.Every = d.Top / 4
	}
	who := s.who()
	for i, r := range s.Sessions {
		p := s.point(r, d.Top)
		p.Who = who[r.By]
		p.Gap = i > 0 && r.Day.Sub(s.Sessions[i-1].Day) >= GapDays
		d.Sessions = append(d.Sessions, p)
	}
	if len(d.Sessions) > 0 {
		d.Phases = []chart.Phase{{Criterion: &limit}}
	}
	return d
}

func (s Stay) point(r Recorded, top float64) chart.Session {
	p := chart.Session{No: r.SaidNo()}
	switch {
	case r.Of.Kind == criterion.Probe:
		p.Kind = chart.Probe
	case r.Of.Kind == criterion.Maintenance:
		p.Kind = chart.Check
	case !r.Read.Counted:
		p.Kind = chart.LeftOut
	case s.Criterion.Goal.Level != "":
		p.Kind = chart.WithHelp
	}
	switch correct, scored := s.tally(r); {
	case r.Read.Over:
		p.Value = top
	case r.Read.Value != nil:
		p.Value = *r.Read.Value
	case s.Criterion.Goal.Measure == criterion.Accuracy && scored > 0:
		p.Value = 100 * float64(correct) / float64(scored)
	default:
		p.None = true
	}
	return p
}

// top returns a round number above every value and the criterion.
func (s Stay) top(limit float64) float64 {
	most := limit
	for _, r := range s.Sessions {
		if r.Read.Value != nil && !r.SaidNo() {
			most = max(most, *r.Read.Value)
		}
	}
	if most <= 0 {
		return 4
	}
	step := math.Pow(10, math.Floor(math.Log10(most)))
	return 4 * step * math.Ceil(most/(4*step)*1.05)
}

// who numbers the people in the order in which they first taught.
func (s Stay) who() map[string]int { return numbered(s.Sessions) }

// GraphName returns the graph's numbers as text for a screen reader.
func (s Stay) GraphName() string {
	var all []string
	for _, r := range s.Sessions {
		all = append(all, s.Drawn(r))
	}
	return s.T.Text("graph.name", "n", len(all), "results", s.T.List(all))
}

// Caption returns a line that explains the axis and the shapes of people.
func (s Stay) Caption() string {
	text := s.T.Text("graph.axis_" + s.axis())
	names := make([]string, 2)
	for name, i := range s.who() {
		if i < len(names) {
			names[i] = name
		}
	}
	if names[0] != "" && names[1] != "" {
		text += " " + s.T.Text("graph.two_people", "first", names[0], "second", names[1])
	}
	return text
}

// axis names the vertical axis. The percentage of intervals has a name of its own
// for each kind of interval, if all sessions agree.
func (s Stay) axis() string {
	name := axisOf(s.Criterion.Goal)
	if s.Criterion.Goal.Measure != criterion.Intervals || len(s.Sessions) == 0 {
		return name
	}
	kind := s.Sessions[0].IntervalKind
	for _, r := range s.Sessions {
		if r.IntervalKind != kind || kind == "" {
			return name
		}
	}
	return name + "_" + kind
}

func axisOf(g criterion.Goal) string {
	switch {
	case g.Measure == criterion.Accuracy && g.Level != "":
		return "with_help"
	case g.Measure == criterion.Accuracy:
		return "alone"
	case g.Measure == criterion.FirstTrial:
		return "first"
	case g.Measure == criterion.Intervals:
		return "intervals"
	case g.Measure == criterion.Latency:
		return "latency"
	case g.Measure == criterion.Recovery:
		return "recovery"
	}
	return unitOf(g.Measure)
}
