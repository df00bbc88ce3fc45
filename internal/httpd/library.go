package httpd

import (
	"bytes"
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
	"newel/internal/program"
	"newel/internal/programfile"
	"newel/internal/say"
	"newel/internal/view"
)

func (s *Server) libraryRoutes() []Route {
	return []Route{
		{Method: http.MethodGet, Pattern: href.Programs, Needs: newel.SeeLibrary, Handle: s.library},
		{Method: http.MethodGet, Pattern: href.ImportProgram, Needs: newel.DraftProgram, Handle: s.importForm},
		{Method: http.MethodPost, Pattern: href.ImportProgram, Needs: newel.DraftProgram, MaxBody: maxImportForm, Handle: s.importProgram},
		{Method: http.MethodPost, Pattern: href.Starters, Needs: newel.DraftProgram, Handle: s.deed(s.beginFromStarter)},
		{Method: http.MethodGet, Pattern: string(href.ProgramExport), Needs: newel.SeeLibrary, Handle: s.exportProgram},
		{Method: http.MethodPost, Pattern: string(href.ProgramCopy), Needs: newel.DraftProgram, Handle: s.deed(s.copyProgram)},
		{Method: http.MethodPost, Pattern: string(href.ProgramArchive), Needs: newel.PublishProgram, Handle: s.deed(s.archiveProgram)},
	}
}

// maxImportForm bounds a program's file and what else is in its form.
const maxImportForm = programfile.MaxZip + 1<<20

// The states by which the library is filtered.
var libraryStates = []string{"", "published", "draft", "handed_in", "archived"}

func inState(p program.Summary, state string) bool {
	switch state {
	case "archived":
		return p.ArchivedAt != nil
	case "published":
		return p.ArchivedAt == nil && p.Number > 0
	case "draft":
		return p.ArchivedAt == nil && p.DraftRev > 0
	case "handed_in":
		return p.ArchivedAt == nil && p.HandedInAt != nil
	}
	return p.ArchivedAt == nil
}

func (s *Server) library(w http.ResponseWriter, r *http.Request) error {
	actor, t, q := mustActor(r), s.printer(r), r.URL.Query()
	programs, err := s.app.Library(r.Context(), actor)
	if err != nil {
		return err
	}
	fits, err := s.app.Skills(r.Context(), actor)
	if err != nil {
		return err
	}
	m := view.LibraryPage{T: t, MayDraft: actor.Can(newel.DraftProgram), All: len(programs), Query: q.Get("q"), Area: q.Get("area"), State: q.Get("state"), States: libraryStates}
	m.Needs, m.Teaches = q.Get("needs"), q.Get("teaches")
	m.Skills = say.SkillOptions(fits.Shelf)
	words := strings.Fields(strings.ToLower(m.Query))
	for _, p := range programs {
		if p.SkillArea != "" && !slices.Contains(m.Areas, p.SkillArea) {
			m.Areas = append(m.Areas, p.SkillArea)
		}
		text := strings.ToLower(p.Title + " " + p.SkillArea)
		if !inState(p, m.State) || m.Area != "" && p.SkillArea != m.Area || !hasSkills(fits.Shelf, p.ID, m.Needs, m.Teaches) ||
			slices.ContainsFunc(words, func(word string) bool { return !strings.Contains(text, word) }) {
			continue
		}
		row := view.LibraryRow{Title: p.Title, Href: href.Program.To(p.ID), Area: p.SkillArea, State: t.Text("library.not_yet"), Learners: p.Learners}
		if p.PublishedAt != nil {
			row.State = "version " + strconv.Itoa(p.Number) + ", " + t.Day(say.DayOf(*p.PublishedAt))
		} else if p.Origin == app.OriginStarter {
			row.State = t.Text("library.starter_unread")
		}
		if p.DraftUpdatedAt != nil && m.MayDraft {
			row.Draft = &view.Link{Label: t.Text("library.draft_saved", "day", t.Day(say.DayOf(*p.DraftUpdatedAt))), Href: href.Draft.To(p.ID)}
			if p.HandedInAt != nil {
				row.Draft.Label = t.Text("library.draft_waits")
			}
		}
		m.Rows = append(m.Rows, row)
	}
	slices.Sort(m.Areas)
	return s.page(w, r, http.StatusOK, page{Title: t.Text("library.title"), Section: "library"}, view.Library(m))
}

func (s *Server) importForm(w http.ResponseWriter, r *http.Request) error {
	return s.showImport(w, r, http.StatusOK, nil, nil)
}

func (s *Server) showImport(w http.ResponseWriter, r *http.Request, status int, values url.Values, cause error) error {
	t := s.printer(r)
	starters, err := s.app.Starters(mustActor(r))
	if err != nil {
		return err
	}
	problems, _ := problemTexts(t, cause)
	m := view.ImportPage{Form: s.formState(r, href.ImportProgram, values, problems)}
	var unread *app.FileProblems
	if errors.As(cause, &unread) {
		for _, p := range unread.Problems {
			m.Problems = append(m.Problems, say.FileProblem(t, p))
		}
	}
	for _, starter := range starters {
		m.Starters = append(m.Starters, view.StarterLine{Token: say.NewToken(), Name: starter.Name, Title: starter.Document.Title, Area: starter.Document.SkillArea, Purpose: starter.Document.Purpose})
	}
	return s.page(w, r, status, page{Title: t.Text("library.import"), Section: "library"}, view.Import(m))
}

// maxImportMemory is how much of an upload is held in memory.
const maxImportMemory = 4 << 20

func (s *Server) importProgram(w http.ResponseWriter, r *http.Request) error {
	values, form, file, err := readUpload(r, "file", maxImportMemory, programfile.MaxZip)
	if len(file) == 0 {
		file = []byte(values.Get("text"))
	}
	to := ""
	if err == nil {
		to, err = s.app.Import(r.Context(), mustActor(r), form, file)
	}
	if _, invalid := problemTexts(s.printer(r), err); invalid {
		return s.showImport(w, r, http.StatusUnprocessableEntity, values, err)
	}
	if err != nil {
		return err
	}
	return see(w, r, to)
}

func (s *Server) beginFromStarter(r *http.Request, values url.Values, form app.Form) (string, error) {
	return s.app.BeginFromStarter(r.Context(), mustActor(r), form, values.Get("name"))
}

func (s *Server) copyProgram(r *http.Request, _ url.Values, form app.Form) (string, error) {
	id, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return "", err
	}
	return s.app.CopyProgram(r.Context(), mustActor(r), form, id)
}

func (s *Server) archiveProgram(r *http.Request, values url.Values, form app.Form) (string, error) {
	id, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return "", err
	}
	return s.app.Archive(r.Context(), mustActor(r), form, id, values.Get("do") != "back")
}

func (s *Server) exportProgram(w http.ResponseWriter, r *http.Request) error {
	id, err := pathID[newel.ProgramID](r, "program")
	if err != nil {
		return err
	}
	f, err := s.app.Export(r.Context(), mustActor(r), id)
	if err != nil {
		return err
	}
	body, kind, name := programfile.Export(f.Document), "application/yaml", "newel-program.yaml"
	if r.URL.Query().Get("as") == "zip" {
		var packed bytes.Buffer
		if err := programfile.ExportZip(&packed, f.Document, f.Pictures); err != nil {
			return err
		}
		body, kind, name = packed.Bytes(), "application/zip", "newel-program.zip"
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	_, err = w.Write(body)
	return err
}
