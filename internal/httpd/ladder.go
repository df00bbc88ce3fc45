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

func (s *Server) ladder(w http.ResponseWriter, r *http.Request) error {
	return s.showLadder(w, r, http.StatusOK, r.URL.Query(), nil)
}

func (s *Server) insertLadder(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return err
	}
	values, form, err := readForm(r)
	location := ""
	if err == nil {
		location, err = s.app.InsertLadder(r.Context(), mustActor(r), form, id, ladderInput(values))
	}
	if problems, invalid := problemTexts(s.printer(r), err); invalid {
		return s.showLadder(w, r, http.StatusUnprocessableEntity, values, problems)
	}
	if err != nil {
		return err
	}
	return see(w, r, location)
}

func (s *Server) showLadder(w http.ResponseWriter, r *http.Request, status int, values url.Values, problems map[string]string) error {
	id, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return err
	}
	t, in := s.printer(r), ladderInput(values)
	v, err := s.app.Ladder(r.Context(), mustActor(r), id, in)
	if more, invalid := problemTexts(t, err); invalid {
		if problems == nil {
			problems, status = more, http.StatusUnprocessableEntity
		}
	} else if err != nil {
		return err
	}
	values.Set("lines", v.Lines)
	if !values.Has("letter") && v.Next != "" { // opened from the editor: go on numbering
		letter := strings.TrimRight(v.Next, "0123456789")
		values.Set("letter", letter)
		values.Set("from", v.Next[len(letter):])
	}
	form := s.formState(r, href.DraftLadder.To(id), values, problems)
	m := view.LadderPage{Form: form, Title: v.Program.Title, Draft: href.Draft.To(id), After: v.Title, Steps: v.Steps, Kinds: writing.LadderKinds}
	return s.page(w, r, status, page{Title: t.Text("ladder.title"), Section: "library"}, view.LadderMaker(m))
}
