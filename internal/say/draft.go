package say

import (
	"strings"

	"newel/internal/message"
	"newel/internal/program"
	"newel/internal/view"
	"newel/internal/writing"
)

// DeedText says in words what led to a state of a draft.
func DeedText(t *message.Printer, deed string) string {
	kind, what, _ := strings.Cut(deed, ":")
	if key := "deed." + strings.ReplaceAll(kind, "-", "_"); kind != "" && t.Has(key) {
		return t.Text(key, "what", what)
	}
	return t.Text("deed.other")
}

// FillAdvice puts what the checks say beside the fields: the first of each, and
// every change that is offered.
func FillAdvice(t *message.Printer, m *view.DraftPage, list []writing.Advice) {
	m.Problems, m.Looks, m.Fixes = map[string]string{}, map[string]string{}, map[string][]view.Fix{}
	for _, a := range list {
		into := m.Problems
		if a.Severity == program.WorthALook {
			into = m.Looks
		}
		switch said := into[a.Field]; {
		case said == "":
			into[a.Field] = t.Problem(a.Problem)
		case a.Severity == program.WorthALook:
			into[a.Field] = said + " " + t.Problem(a.Problem)
		}
		if a.Fix != nil {
			m.Fixes[a.Field] = append(m.Fixes[a.Field], view.Fix{Label: t.Text("fix." + a.Fix.ID), Value: "fix:" + a.Fix.ID + ":" + a.Fix.Field})
		}
	}
}
