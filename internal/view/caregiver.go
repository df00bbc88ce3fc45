package view

import (
	"strings"

	"newel/internal/message"
	"newel/internal/newel"
)

// Outbox is what every caregiver page carries, so that what waits on the
// phone is sent whenever one of them opens.
type Outbox struct {
	T       *message.Printer
	Account string // whose sessions this browser may send
}

// TodayPage is a caregiver's first page.
type TodayPage struct {
	T        *message.Printer
	Outbox   Outbox
	Day      newel.Day
	Learners []TodayLearner
}

func (p TodayPage) date() string {
	return p.T.Text("today.date", "weekday", p.T.Weekday(p.Day), "day", p.T.DayShort(p.Day))
}

// TodayLearner is one learner's part of it.
type TodayLearner struct {
	ID, Name string
	Signs    string   // how this child says no
	Alerts   []string // other than none
	Next     *TodayCard
	Others   []TodayCard
	Resting  []TodayRest
	Note     string
	NoteBy   string
}

// TodayCard is one program that may be started.
type TodayCard struct {
	Title  string
	Detail string
	Stair  Stair
	Record string // path
	Teach  string // path

	Progress string // path
}

// TodayRest is one that may not.
type TodayRest struct {
	Title  string
	Action string // where "we talked about it" is sent
	Token  string
	Teach  string
}

// TeachPage says how a step is taught.
type TeachPage struct {
	T      *message.Printer
	Outbox Outbox
	Kit    newel.Kit
	Rests  bool
	Ended  bool
	Whole  bool // the full page behind "more"
	Path   string
	Record string
}

func (p TeachPage) startable() bool { return !p.Rests && !p.Ended }

func (p TeachPage) helpToday() string {
	if p.Kit.PlannedHelp == "" {
		return p.T.Text("teach.help_alone")
	}
	return p.T.Text("teach.help_today", "level", p.Kit.PlannedHelp)
}

// alertLines are the learner's alerts in words; none is none.
func alertLines(t *message.Printer, a newel.Alerts) []string {
	var out []string
	for _, line := range []struct{ key, text string }{
		{"today.allergy", a.Allergy}, {"today.choking", a.Choking}, {"today.seizure", a.Seizure}, {"today.mouthing", a.Mouthing},
	} {
		if line.text != "" {
			out = append(out, t.Text(line.key, "text", strings.TrimRight(line.text, ". "))+".")
		}
	}
	return out
}

// AlertLines is alertLines for whoever fills a page in.
func AlertLines(t *message.Printer, a newel.Alerts) []string { return alertLines(t, a) }

// saysNo is what to do at a no: the program's own words, and the rule that
// holds whatever they say.
func (p TeachPage) saysNo() string {
	rule := p.T.Text("teach.says_no_rule")
	if p.Kit.IfSaysNo == "" {
		return rule
	}
	return p.Kit.IfSaysNo + " " + rule
}
