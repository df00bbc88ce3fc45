package httpd

import (
	"bytes"
	"net/http"
	"net/url"

	"newel/internal/app"
	"newel/internal/href"
	"newel/internal/newel"
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
	m := say.LibraryPage(t, programs, fits.Shelf, q, actor.Can(newel.DraftProgram))
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
	m := say.ImportPage(t, s.formState(r, href.ImportProgram, values, problems), starters, cause)
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
