package httpd

import (
	"net/http"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/say"
	"newel/internal/view"
)

// sheet shows one step for printing.
func (s *Server) printout(w http.ResponseWriter, r *http.Request, id newel.PlacementID) error {
	v, err := s.app.Printout(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	t := s.printer(r)
	m := view.FridgePage{T: t, Kit: v.Kit, Name: say.TwoWords(t, v.Name), Back: href.Placement.To(id), Own: say.OwnWhat(t, v.Own)}
	alerts := v.Kit.Alerts
	for _, alert := range []struct{ name, text string }{
		{t.Text("care.allergy"), alerts.Allergy},
		{t.Text("care.choking"), alerts.Choking},
		{t.Text("care.seizure"), alerts.Seizure},
		{t.Text("care.mouthing"), alerts.Mouthing},
		{t.Text("sheet.caution"), v.Kit.Cautions},
	} {
		if alert.text != "" {
			m.Lines = append(m.Lines, view.FridgeLine{Name: alert.name, Text: alert.text})
		}
	}
	return s.page(w, r, http.StatusOK, page{Title: t.Text("sheet.title"), Section: "families"}, view.Fridge(m))
}
