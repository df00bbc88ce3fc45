package httpd

import (
	"net/http"
	"net/url"
	"strings"

	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/view"
	"newel/internal/writing"
)

func ladderInput(v url.Values) writing.LadderInput {
	return writing.LadderInput{
		Strand: v.Get("strand"), After: v.Get("after"), Kind: v.Get("kind"), Lines: v.Get("lines"), Unit: v.Get("unit"), Name: v.Get("name"),
		Letter: v.Get("letter"), From: v.Get("from"), Criterion: v.Get("criterion"),
	}
}

func (s *Server) ladder(w http.ResponseWriter, r *http.Request, id newel.ProgramID) error {
	return s.showLadder(w, r, id, sent{Values: r.URL.Query()})
}

func (s *Server) insertLadder(r *http.Request, id newel.ProgramID, f sent) (string, error) {
	return s.app.InsertLadder(r.Context(), mustActor(r), f.token, id, ladderInput(f.Values))
}

func (s *Server) showLadder(w http.ResponseWriter, r *http.Request, id newel.ProgramID, f sent) error {
	if f.Values == nil {
		f.Values = url.Values{}
	}
	t, in := s.printer(r), ladderInput(f.Values)
	v, err := s.app.Ladder(r.Context(), mustActor(r), id, in)
	if more, invalid := problemTexts(t, err); invalid {
		if f.problems == nil {
			f.problems = more
		}
	} else if err != nil {
		return err
	}
	f.Set("lines", v.Lines)
	if !f.Has("letter") && v.Next != "" { // opened from the editor: continue the numbering
		letter := strings.TrimRight(v.Next, "0123456789")
		f.Set("letter", letter)
		f.Set("from", v.Next[len(letter):])
	}
	form := s.formState(r, href.DraftLadder.To(id), f)
	m := view.LadderPage{Form: form, Title: v.Program.Title, Draft: href.Draft.To(id), After: v.Title, Steps: v.Steps, Kinds: writing.LadderKinds}
	return s.page(w, r, f.status(), page{Title: t.Text("ladder.title"), Section: "library"}, view.LadderMaker(m))
}
