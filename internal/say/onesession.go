package say

import (
	"slices"
	"strconv"
	"strings"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/message"
	"newel/internal/program"
	"newel/internal/recording"
	"newel/internal/view"
)

// SessionPage returns the page of a recording.
func SessionPage(t *message.Printer, data app.RecordingPage) view.SessionPage {
	v, r := data.View, data.Recording
	m := view.SessionPage{
		T: t, Title: t.Text("onesession.title", "day", t.Day(r.LocalDate)), MayAmend: data.MayAmend && r.Closed, Unfit: len(v.Header.Unfit.Or(nil)) > 0,
		Under: data.Learner.Nickname + ", " + data.Program + ", " + strings.TrimSpace(data.Step.Label+" "+data.Step.Name),
		Crumbs: []view.Link{
			{Label: t.Text("nav.caseload"), Href: href.Caseload},
			{Label: data.Learner.Nickname, Href: href.Learner.To(data.Learner.ID)},
			{Label: data.Program, Href: href.Placement.To(r.PlacementID)},
		},
		Facts: sessionFacts(t, data), Caution: sessionCautions(t, data),
		Counts: t.Text("onesession.counts", "sent", data.Account.Trials.Sent+data.Account.Fields.Sent,
			"accepted", data.Account.Trials.Accepted+data.Account.Fields.Accepted, "surplus", data.Account.Trials.Surplus+data.Account.Fields.Surplus),
	}
	for _, trial := range v.Trials {
		m.Trials = append(m.Trials, trialLine(t, data, trial))
	}
	for _, twin := range data.Twins {
		m.Twins = append(m.Twins, twinPart(t, data, twin))
	}
	for _, x := range v.Surplus {
		m.Beside = append(m.Beside, besideLine(t, data, x))
	}
	for _, a := range slices.Backward(data.Amendments) {
		m.History = append(m.History, amendedLine(t, data, a))
	}
	for _, choice := range AnswerChoices(data) {
		m.Options = append(m.Options, view.Option{Value: choice.Value, Label: answerText(t, choice.Answer)})
	}
	m.Options = append(m.Options, view.Option{Value: "void", Label: t.Text("onesession.choose_void")})
	return m
}

func sessionFacts(t *message.Printer, data app.RecordingPage) []string {
	var facts []string
	by := t.Text("onesession.nobody")
	for _, p := range data.People {
		if data.Recording.ByID != nil && p.ID == *data.Recording.ByID {
			by = t.Text("onesession.by", "name", p.Name)
		}
	}
	help := t.Text("onesession.help_none")
	if level := data.View.Header.PlannedHelp.Or(""); level != "" {
		help = t.Text("onesession.help", "level", level)
	}
	facts = append(facts, by+", "+help)
	facts = append(facts, kindFacts(t, data.View.Header)...)
	if place := recordedPlace(t, data.View.Header); place != "" {
		facts = append(facts, t.Text("onesession.place", "place", place))
	}
	facts = append(facts, t.Text("onesession.author", "name", data.Authors[data.Recording.AuthorID]))
	if data.Recording.Afterwards {
		facts = append(facts, t.Text("onesession.afterwards"))
	}
	if note := data.View.Header.Note.Or(""); note != "" {
		facts = append(facts, t.Text("onesession.note", "note", note))
	}
	return append(facts, measuredFacts(t, &data.View.Header)...)
}

func sessionCautions(t *message.Printer, data app.RecordingPage) []string {
	ending := data.View.Header.EndedEarly.Or(recording.EndedInTime)
	var out []string
	for _, c := range []struct {
		so  bool
		key string
	}{
		{!data.Recording.Closed, "onesession.open"},
		{data.Recording.Void, "onesession.void"},
		{ending == recording.EndedDistress, "onesession.distress"},
		{ending == recording.EndedOther, "onesession.other_end"},
		{data.Recording.Corrected && !data.Recording.OddClock, "onesession.corrected"},
		{data.Recording.OddClock, "onesession.odd_clock"},
		{len(data.Overlapping) > 0, "onesession.overlaps"},
	} {
		if c.so {
			out = append(out, t.Text(c.key))
		}
	}
	if unfit := data.View.Header.Unfit.Or(nil); len(unfit) > 0 {
		what := make([]string, len(unfit))
		for i, u := range unfit {
			what[i] = t.Text("unfit." + string(u))
		}
		out = append(out, t.Text("onesession.unfit", "why", t.Text("why.unfit_what", "what", t.List(what))))
	}
	return out
}

func trialLine(t *message.Printer, data app.RecordingPage, trial recording.Trial) view.TrialLine {
	line := view.TrialLine{N: trial.N, Void: trial.Void}
	if trial.Answer == nil {
		return line
	}
	a := *trial.Answer
	line.Mark, line.Answer, line.Target = view.MarkOf(string(a.Outcome), helpRank(data.HelpLevels, a.Help)), answerText(t, a), a.Target
	line.Detail = answerDetail(t, data, a)
	for _, target := range slices.Concat(data.Step.Targets, data.Known) {
		if target.Key == a.Target {
			line.Target = target.Name
		}
	}
	return line
}

// helpRank returns 0 for no help, 1 for the least help and so on.
func helpRank(levels []program.HelpLevel, help string) int {
	return 1 + slices.IndexFunc(levels, func(l program.HelpLevel) bool { return l.Name == help })
}

func answerText(t *message.Printer, a recording.Answer) string {
	switch {
	case a.Help == "":
		return t.Text("outcome." + string(a.Outcome))
	case a.Outcome == "correct":
		return t.Text("outcome.correct_helped") + ": " + a.Help
	}
	return t.Text("outcome."+string(a.Outcome)) + ", " + a.Help
}

func besideLine(t *message.Printer, data app.RecordingPage, x recording.Surplus) view.BesideLine {
	line := view.BesideLine{Ref: string(x.Ref), Token: app.NewForm().Token.String(), Why: t.Text("onesession.why_" + string(x.Why)), Joins: x.Trial != nil || x.Field != nil}
	switch {
	case x.Trial != nil:
		said := trialLine(t, data, *x.Trial)
		if said.Void {
			said.Answer = t.Text("onesession.left_out")
		}
		line.Text = t.Text("onesession.beside_trial", "n", x.Trial.N, "answer", said.Answer)
	case x.Field != nil:
		line.Text = t.Text("onesession.beside_field", "field", string(x.Field.Name))
	case x.Closing != nil:
		line.Text = t.Text("onesession.beside_closing")
	default:
		line.Text = t.Text("onesession.beside_origin")
	}
	return line
}

func amendedLine(t *message.Printer, data app.RecordingPage, a recording.Amendment) view.AmendedLine {
	line := view.AmendedLine{
		ID: a.ID.String(), Token: app.NewForm().Token.String(), Reason: a.Reason, Undoes: data.MayAmend,
		ByWhen: t.Text("onesession.by_when", "name", data.Authors[a.Author], "when", whenIn(t, a.At, data.TimeZone)),
	}
	answer := ""
	if a.Change.Answer != nil {
		answer = answerText(t, *a.Change.Answer)
	}
	line.Text = t.Text("onesession.did_"+string(a.Change.Kind), "n", a.Change.N, "answer", answer, "field", string(a.Change.Field))
	return line
}

// AnswerChoice is an answer that a trial can be corrected to.
type AnswerChoice struct {
	Value  string
	Answer recording.Answer
}

// AnswerChoices returns the answers that a trial can be corrected to.
func AnswerChoices(data app.RecordingPage) []AnswerChoice {
	choices := []AnswerChoice{{"alone", recording.Answer{Outcome: "correct"}}}
	for i, l := range data.HelpLevels {
		choices = append(choices, AnswerChoice{"help-" + strconv.Itoa(i), recording.Answer{Outcome: "correct", Help: l.Name}})
	}
	return append(choices,
		AnswerChoice{"incorrect", recording.Answer{Outcome: "incorrect"}},
		AnswerChoice{"no_response", recording.Answer{Outcome: "no_response"}},
		AnswerChoice{"declined", recording.Answer{Outcome: "declined"}},
		AnswerChoice{"no_chance", recording.Answer{Outcome: "no_chance"}},
		AnswerChoice{"adult_part", recording.Answer{Outcome: "adult_part"}})
}

// QuarantinedLine returns a quarantined session.
func QuarantinedLine(t *message.Printer, h app.Quarantined) view.QuarantinedLine {
	line := view.QuarantinedLine{
		Title: t.Text("held.unknown"), Why: t.Text("held.why_" + h.Why), Known: h.FamilyID != nil, Token: app.NewForm().Token.String(),
		SentBy: t.Text("held.sent_by", "name", h.Account, "when", whenIn(t, h.ReceivedAt, h.TimeZone)),
		Tries:  t.Text("held.tries", "n", len(h.Body.Trials())),
		Action: href.QuarantineSettle.To(h.AccountID, h.ID),
	}
	if line.Known {
		line.Title = h.Learner + ", " + h.Program
	}
	return line
}
