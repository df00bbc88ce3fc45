package view

import (
	"strconv"

	"newel/internal/message"
	"newel/internal/newel"
)

// RecorderPage is the page that records a session. Everything that it shows
// is in the page; its script moves between the parts, keeps and sends.
type RecorderPage struct {
	T      *message.Printer
	Outbox Outbox
	Kit    newel.Kit
	KitURL string
	Place  []string // that were used or are usual
}

// levels are the help levels from the most help down, as they stand on the
// rail.
func (p RecorderPage) levels() []railLevel {
	n := len(p.Kit.HelpLevels)
	out := make([]railLevel, n)
	for i, name := range p.Kit.HelpLevels {
		out[n-1-i] = railLevel{Name: name, Mark: HelpMark(i + 1), Planned: name == p.Kit.PlannedHelp}
	}
	return out
}

type railLevel struct {
	Name    string
	Mark    Mark
	Planned bool
}

// railClass chooses the height of the levels.
func (p RecorderPage) railClass() string {
	return "rail levels-" + strconv.Itoa(max(1, min(len(p.Kit.HelpLevels), 5)))
}

// trialByTrial reports whether single answers are tapped.
func (p RecorderPage) trialByTrial() bool {
	return p.Kit.Measure == newel.MeasureTrials || p.Kit.Measure == ""
}

// plan is how many tries are planned; 5 where the step does not say.
func (p RecorderPage) plan() string {
	if p.Kit.Trials > 0 {
		return strconv.Itoa(p.Kit.Trials)
	}
	return "5"
}

func (p RecorderPage) self() string {
	if p.Kit.Self == nil {
		return ""
	}
	return p.Kit.Self.String()
}

// markSlots are the marks that the script copies, by name.
func (p RecorderPage) markSlots() []markSlot {
	slots := []markSlot{
		{"alone", MarkAlone, p.T.Text("recorder.mark.alone")},
		{"not_yet", MarkNotYet, p.T.Text("recorder.mark.not_yet")},
		{"no_response", MarkNoResponse, p.T.Text("recorder.mark.no_response")},
		{"declined", MarkSaidNo, p.T.Text("recorder.mark.said_no")},
		{"no_chance", MarkNoChance, p.T.Text("recorder.mark.no_chance")},
	}
	for i, name := range p.Kit.HelpLevels {
		slots = append(slots, markSlot{"help:" + name, HelpMark(i + 1), p.T.Text("recorder.mark.help", "level", name)})
	}
	return slots
}

type markSlot struct {
	Key  string
	Mark Mark
	Name string
}

func personOptions(people []newel.KitPerson) []Option {
	out := make([]Option, len(people))
	for i, p := range people {
		out[i] = Option{Value: p.ID.String(), Label: p.Name}
	}
	return out
}

func placeOptions(places []string) []Option {
	out := make([]Option, len(places))
	for i, p := range places {
		out[i] = Option{Value: p, Label: p}
	}
	return out
}

func helpOptions(p RecorderPage) []Option {
	out := []Option{{Value: "", Label: p.T.Text("recorder.alone")}}
	for _, name := range p.Kit.HelpLevels {
		out = append(out, Option{Value: name, Label: name})
	}
	return out
}
