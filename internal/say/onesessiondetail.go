package say

import (
	"strings"

	"newel/internal/app"
	"newel/internal/message"
	"newel/internal/recording"
)

// answerDetail says what was recorded with an answer: the seconds to the
// response, the seconds until steady again, and each expectation. Empty if there
// is nothing.
func answerDetail(t *message.Printer, data app.RecordingPage, a recording.Answer) string {
	var parts []string
	add := func(key string, ms int64) {
		parts = append(parts, t.Text(key, "n", float64(ms)/1000))
	}
	if a.LatencyMS != nil {
		add("onesession.latency", *a.LatencyMS)
	}
	if a.RecoveryMS != nil {
		add("onesession.recovery", *a.RecoveryMS)
	}
	if a.RecoveryNone {
		parts = append(parts, t.Text("onesession.recovery_none"))
	}
	if a.Adjusted {
		parts = append(parts, t.Text("onesession.adjusted"))
	}
	for _, e := range a.Expected {
		answer := answerText(t, recording.Answer{Outcome: e.Outcome, Help: e.Help})
		parts = append(parts, t.Text("onesession.expected", "name", expectationName(data, e.Key), "answer", answer))
	}
	return strings.Join(parts, "; ")
}

func expectationName(data app.RecordingPage, key string) string {
	for _, e := range data.Step.Expectations {
		if e.Key == key {
			return e.Name
		}
	}
	return key
}

// kindFacts says what kind of session it was, if not teaching, and when it took
// place, if it was entered afterward for a day.
func kindFacts(t *message.Printer, h recording.Header) []string {
	var facts []string
	if kind := h.Kind.Or(recording.Teaching); kind != recording.Teaching {
		facts = append(facts, t.Text("onesession.kind_"+string(kind)))
	}
	if day, ok := h.HappenedOn.Get(); ok {
		about := string(h.About.Or(""))
		switch recording.About(about) {
		case "":
			facts = append(facts, t.Text("onesession.happened", "day", t.Day(day)))
		case recording.Morning, recording.Midday, recording.Afternoon, recording.Evening:
			facts = append(facts, t.Text("onesession.happened_part", "day", t.Day(day), "part", t.Text("about."+about)))
		default:
			facts = append(facts, t.Text("onesession.happened_at", "day", t.Day(day), "time", about))
		}
	}
	return facts
}

// recordedPlace is where a session was, by the name that the phone gave the
// place, if it did.
func recordedPlace(t *message.Printer, h recording.Header) string {
	if name := h.PlaceName.Or(""); name != "" {
		return name
	}
	return placeText(t, h.Place.Or(""))
}
