package httpd

import (
	"bytes"
	"net/http"
	"net/url"

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
		{Method: http.MethodPost, Pattern: href.Starters, Needs: newel.DraftProgram, Handle: s.post(s.beginFromStarter, nil)},
		{Method: http.MethodGet, Pattern: string(href.ProgramExport), Needs: newel.SeeLibrary, Handle: at("program", s.exportProgram)},
		{Method: http.MethodPost, Pattern: string(href.ProgramCopy), Needs: newel.DraftProgram, Handle: postAt(s, "program", s.copyProgram, nil)},
		{Method: http.MethodPost, Pattern: string(href.ProgramArchive), Needs: newel.PublishProgram, Handle: postAt(s, "program", s.archiveProgram, nil)},
	}
}

// maxImportForm limits a program's file plus the rest of its form, in bytes.
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
	return s.showImport(w, r, nil, nil)
}

func (s *Server) showImport(w http.ResponseWriter, r *http.Request, values url.Values, cause error) error {
	t := s.printer(r)
	starters, err := s.app.Starters(mustActor(r))
	if err != nil {
		return err
	}
	f := sent{Values: values}
	f.problems, _ = problemTexts(t, cause)
	m := say.ImportPage(t, s.formState(r, href.ImportProgram, f), starters, cause)
	return s.page(w, r, f.status(), page{Title: t.Text("library.import"), Section: "library"}, view.Import(m))
}

// maxImportMemory is how many bytes of an upload are held in memory.
const maxImportMemory = 4 << 20

func (s *Server) importProgram(w http.ResponseWriter, r *http.Request) error {
	f, file, err := readUpload(r, "file", maxImportMemory, programfile.MaxZip)
	if len(file) == 0 {
		file = []byte(f.Get("text"))
	}
	to := ""
	if err == nil {
		to, err = s.app.Import(r.Context(), mustActor(r), f.token, file)
	}
	return s.answer(w, r, to, err, func(map[string]string) error { return s.showImport(w, r, f.Values, err) })
}

func (s *Server) beginFromStarter(r *http.Request, f sent) (string, error) {
	return s.app.BeginFromStarter(r.Context(), mustActor(r), f.token, f.Get("name"))
}

func (s *Server) copyProgram(r *http.Request, id newel.ProgramID, f sent) (string, error) {
	return s.app.CopyProgram(r.Context(), mustActor(r), f.token, id)
}

func (s *Server) archiveProgram(r *http.Request, id newel.ProgramID, f sent) (string, error) {
	return s.app.Archive(r.Context(), mustActor(r), f.token, id, f.Get("do") != "back")
}

func (s *Server) exportProgram(w http.ResponseWriter, r *http.Request, id newel.ProgramID) error {
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
