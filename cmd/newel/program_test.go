package main

import (
	"bytes"
	"io"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"newel/internal/app"
	"newel/internal/fixture"
	"newel/internal/newel"
	"newel/internal/pgtest"
	"newel/internal/postgres"
)

// shelf returns a database with a clinic that has published a starter.
func shelf(t *testing.T) (*pgtest.DB, *fixture.World) {
	t.Helper()
	db := pgtest.New(t)
	w := fixture.Clinic(t, db)
	w.Exec(t, `update clinic set name = 'Alder Lane' where id = @clinic`, nil)
	a := app.New(postgres.FromPool(db.App, time.Now), slog.New(slog.NewTextHandler(io.Discard, nil)), time.Now)
	ctx, form := t.Context(), app.NewForm
	location, err := a.BeginFromStarter(ctx, w.Lead, form(), "jacket")
	if err != nil {
		t.Fatal(err)
	}
	id, err := newel.ParseID[newel.ProgramID](filepath.Base(filepath.Dir(location)))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := a.Publish(ctx, w.Lead, form(), id, app.DraftInput{Rev: 1, Confirmed: "read"}); err != nil {
		t.Fatal(err)
	}
	return db, w
}

// newelCommand runs newel in this process on a database.
func newelCommand(t *testing.T, db *pgtest.DB, in string, args ...string) (code int, out, errs string) {
	t.Helper()
	var o, e bytes.Buffer
	if db != nil {
		args = append(args, "--database-url", db.URL, "--owner-url", db.OwnerURL)
	}
	code = dispatch(t.Context(), stdio{strings.NewReader(in), &o, &e}, append([]string{"program"}, args...))
	return code, o.String(), e.String()
}

// TestProgramExamples runs the examples in the help in a shell, one after the
// other; the program comes back unchanged.
func TestProgramExamples(t *testing.T) {
	t.Parallel()
	db, _ := shelf(t)
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "newel"), []byte("#!/bin/sh\nexec "+self+" \"$@\"\n"), 0o755); err != nil {
		t.Fatal(err)
	}
	for _, example := range programExamples {
		c := exec.CommandContext(t.Context(), "sh", "-c", example)
		c.Dir = dir
		c.Env = append(os.Environ(), asMain+"=1", "PATH="+dir+":"+os.Getenv("PATH"), "DATABASE_URL="+db.URL, "NEWEL_OWNER_URL="+db.OwnerURL)
		if said, err := c.CombinedOutput(); err != nil {
			t.Errorf("%s: %v\n%s", example, err, said)
		}
	}
	exported, err := os.ReadFile(filepath.Join(dir, "jacket.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	starter, err := os.ReadFile("../../internal/programfile/starter/jacket.yaml")
	if err != nil || !bytes.Equal(exported, starter) {
		t.Errorf("%v; exported:\n%s", err, exported)
	}
	var begun, taken, drafts int
	err = db.Bypass.QueryRow(t.Context(), `select
		(select count(*) from audit where deed = 'command.program_begun' and account_id is null),
		(select count(*) from audit where deed = 'command.program_exported' and account_id is null),
		(select count(*) from draft d join program p on p.id = d.program_id where p.origin = 'import' and p.created_by is null
			and d.updated_by is null)`).Scan(&begun, &taken, &drafts)
	if err != nil || begun != 2 || taken != 2 || drafts != 2 {
		t.Errorf("audit trail has %d imports and %d exports, with %d drafts, %v; want two each", begun, taken, drafts, err)
	}
}

// TestInvalidProgramFiles checks that a bad file gives exit status 2 and
// the positions of its errors, without a database.
func TestInvalidProgramFiles(t *testing.T) {
	t.Parallel()
	const head = "newel_program: 1\n"
	for name, c := range map[string]struct {
		file string
		args []string
		code int
		says string
	}{
		"a mistyped field":  {head + "title: Shoes\nstrands:\n  - steps:\n      - criterium: x\n", nil, 2, "-:5:9: strands.1.steps.1.criterium: “criterium” is not a known field. Did you mean “criterion”?\n"},
		"two problems":      {head + "weeks: many\ntitel: a\n", nil, 2, "-:3:1: titel:"},
		"no title":          {head + "weeks: 3\n", nil, 2, "-: title:"},
		"no program":        {"- a\n", nil, 2, "-: This is not a program."},
		"a broken zip":      {"PK\x03\x04x", nil, 2, "-: This is not a zip file."},
		"good":              {head + "title: Shoes\n", nil, 0, `- can be read: "Shoes", steps: 0, pictures: 0.`},
		"good, with advice": {head + "title: Shoes\n", nil, 0, "fix before publishing: "},
		"flags of export":   {head, []string{"--zip"}, 2, "work only with export"},
		"too much":          {head, []string{"other.yaml"}, 2, "unexpected argument"},
		"no such flag":      {head, []string{"--force"}, 2, "force"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			code, out, errs := newelCommand(t, nil, c.file, append([]string{"import", "-", "--check"}, c.args...)...)
			if code != c.code || !strings.Contains(out+errs, c.says) || code != 0 && out != "" {
				t.Errorf("status %d\nout: %s\nerr: %s", code, out, errs)
			}
		})
	}
	for _, args := range [][]string{{}, {"fly"}, {"export"}, {"import"}, {"import", "nowhere.yaml"}, {"export", "x", "--draft", "--version", "2"}, {"export", "x", "--check"}} {
		if code, out, errs := newelCommand(t, nil, "", args...); code != 2 || out != "" || errs == "" {
			t.Errorf("%v: status %d, %s%s", args, code, out, errs)
		}
	}
	if code, out, _ := newelCommand(t, nil, "", "help"); code != 0 || !strings.Contains(out, programExamples[0]) {
		t.Errorf("help: status %d\n%s", code, out)
	}
}

// TestAmbiguousProgramNames checks that an ambiguous name gives an error that lists the
// choices, and that the file is never imported into a guessed clinic.
func TestAmbiguousProgramNames(t *testing.T) {
	t.Parallel()
	db, w := shelf(t)
	file := "newel_program: 1\ntitle: putting on a JACKET\n"
	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{[]string{"export", "putting on a jacket", "--draft"}, 1, "no such version or draft"},
		{[]string{"export", "Putting on a jacket", "--version", "2"}, 1, "no such version or draft"},
		{[]string{"export", "Shoes"}, 1, "has no program \"Shoes\"; it has:\n  "},
		{[]string{"import", "-", "--clinic", "Elder Lane"}, 2, "choose one of:\n  \"Alder Lane\" " + w.Clinic.String()},
		{[]string{"import", "-", "--clinic", "alder lane"}, 0, "Alder Lane has a new draft"},
		{[]string{"export", "Putting on a jacket"}, 1, "use the ID"},
	} {
		code, out, errs := newelCommand(t, db, file, c.args...)
		if code != c.code || !strings.Contains(out+errs, c.says) {
			t.Errorf("%v: status %d\n%s%s", c.args, code, out, errs)
		}
	}
	fixture.Clinic(t, db)
	if code, out, errs := newelCommand(t, db, file, "import", "-"); code != 2 || !strings.Contains(errs, "there are 2 clinics") {
		t.Errorf("two clinics and no --clinic: status %d\n%s%s", code, out, errs)
	}
}
