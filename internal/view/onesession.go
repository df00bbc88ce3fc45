package view

import (
	"slices"
	"strconv"

	"newel/internal/message"
)

// QuarantinePage lists quarantined sessions.
type QuarantinePage struct {
	T        *message.Printer
	Wrong    string // why the last one could not be accepted
	Sessions []QuarantinedLine
}

// QuarantinedLine is one quarantined session.
type QuarantinedLine struct {
	Title  string // learner and program, or that they are unknown
	SentBy string
	Why    string
	Tries  string
	Action string
	Token  string
	Known  bool // its step is known, so it can be accepted
}

// SessionPage is one recorded session as staff see it.
type SessionPage struct {
	Unfit    bool // does not count, because it differed from its step
	T        *message.Printer
	Form     FormState // of the correction
	Title    string
	Under    string
	Crumbs   []Link
	Facts    []string // about the session as a whole
	Caution  []string // the facts that need attention
	Trials   []TrialLine
	Twins    []TwinPart // other people's records of the same session
	Counts   string
	Beside   []BesideLine
	History  []AmendedLine
	MayAmend bool
	Options  []Option // answers that a trial can be corrected to
}

// TrialLine is one trial.
type TrialLine struct {
	N      int
	Mark   Mark
	Target string
	Answer string
	Detail string // what was recorded with the answer, such as its seconds
	Void   bool
}

// BesideLine is an extra entry of the session.
type BesideLine struct {
	Ref, Text, Why string
	Token          string
	Joins          bool
}

// AmendedLine is one correction.
type AmendedLine struct {
	ID, Text, Reason, ByWhen string
	Token                    string
	Undoes                   bool // may be undone
}

func (p SessionPage) trialOptions() []Option {
	options := []Option{{Value: "", Label: "–"}}
	for _, t := range p.Trials {
		options = append(options, Option{Value: strconv.Itoa(t.N), Label: p.T.Text("onesession.trial", "n", t.N)})
	}
	options = append(options, Option{Value: "session", Label: p.T.Text("onesession.choose_session")})
	if p.Unfit {
		options = append(options, Option{Value: "count_it", Label: p.T.Text("onesession.count_it")})
	}
	return options
}

func (p SessionPage) fields() (which, what, reason Field) {
	which, what = p.Form.Needed("n", "onesession.which"), p.Form.Field("answer", "onesession.what")
	which.Options, what.Options = p.trialOptions(), append([]Option{{Value: "", Label: "–"}}, p.Options...)
	return which, what, p.Form.Needed("reason", "onesession.reason")
}

// MarkOf returns the mark of an outcome; level is the rank of the help given, 0
// for none.
func MarkOf(outcome string, level int) Mark {
	switch outcome {
	case "incorrect":
		return MarkNotYet
	case "no_response":
		return MarkNoResponse
	case "declined":
		return MarkSaidNo
	case "no_chance":
		return MarkNoChance
	case "adult_part":
		return MarkAdultPart
	}
	return HelpMark(level)
}

func (p SessionPage) problemFields() []Field {
	which, what, reason := p.fields()
	return []Field{which, what, reason}
}

// targeted reports whether any trial names its target.
func (p SessionPage) targeted() bool {
	return slices.ContainsFunc(p.Trials, func(t TrialLine) bool { return t.Target != "" })
}
