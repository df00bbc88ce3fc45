package config

import (
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "rewrite the generated part of the documentation")

func load(t *testing.T, args, environ []string) (Config, error) {
	t.Helper()
	fs := flag.NewFlagSet("test", flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	return Load(fs, args, environ)
}

func TestDefaults(t *testing.T) {
	t.Parallel()
	got, err := load(t, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	wd, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	want := Config{
		Listen: "127.0.0.1:8080", BaseURL: "http://127.0.0.1:8080",
		DataDir: filepath.Join(wd, ".data"), DumpDir: filepath.Join(wd, ".data", "dumps"),
		DumpEvery: 24 * time.Hour, DumpKeep: 14, Proxies: "127.0.0.1/32,::1/128",
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	if !got.Embedded() {
		t.Error("without DATABASE_URL the built-in database must be used")
	}
	if w := got.Warnings(); len(w) != 0 {
		t.Errorf("the defaults produce warnings: %q", w)
	}
}

func TestFlagWinsOverEnvironment(t *testing.T) {
	t.Parallel()
	got, err := load(t, []string{"-listen", "[::1]:9000", "rest"}, []string{"NEWEL_LISTEN=:1", "NEWEL_DUMP_KEEP=3", "NEWEL_DUMP_EVERY="})
	if err != nil {
		t.Fatal(err)
	}
	if got.Listen != "[::1]:9000" || got.DumpKeep != 3 || got.DumpEvery != 24*time.Hour || got.BaseURL != "http://[::1]:9000" {
		t.Errorf("got %+v", got)
	}
}

func TestBaseURLFor(t *testing.T) {
	t.Parallel()
	for listen, want := range map[string]string{
		":8080":          "http://localhost:8080",
		"0.0.0.0:80":     "http://localhost:80",
		"[::]:80":        "http://localhost:80",
		"127.0.0.1:8080": "http://127.0.0.1:8080",
		"10.1.2.3:80":    "http://10.1.2.3:80",
	} {
		if got := BaseURLFor(listen); got != want {
			t.Errorf("BaseURLFor(%q) = %q, want %q", listen, got, want)
		}
	}
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	const (
		app    = "DATABASE_URL=postgres://newel_app:secret-a@db/newel"
		owner  = "NEWEL_OWNER_URL=postgres://newel_owner:secret-b@db/newel"
		backup = "NEWEL_BACKUP_URL=postgres://newel_backup:secret-c@db/newel"
	)
	for _, tc := range []struct {
		name    string
		environ []string
		say     []string
	}{
		{"app without owner", []string{app}, []string{"NEWEL_OWNER_URL", "deploy/roles.sql"}},
		{"owner without app", []string{owner}, []string{"set DATABASE_URL"}},
		{"backup without app", []string{backup}, []string{"unset NEWEL_BACKUP_URL"}},
		{"one role for both", []string{app, "NEWEL_OWNER_URL=host=db user=newel_app dbname=newel"}, []string{`both use the role "newel_app"`}},
		{"no role", []string{app, "NEWEL_OWNER_URL=secret-b"}, []string{"NEWEL_OWNER_URL cannot be read"}},
		{"base without scheme", []string{"NEWEL_BASE_URL=newel.example.org"}, []string{"http:// or https://"}},
		{"base of another scheme", []string{"NEWEL_BASE_URL=ftp://newel.example.org"}, []string{"http:// or https://"}},
		{"base with a path", []string{"NEWEL_BASE_URL=https://example.org/newel"}, []string{"its own host name"}},
		{"listen without port", []string{"NEWEL_LISTEN=127.0.0.1"}, []string{"address:port"}},
		{"listen on no port", []string{"NEWEL_LISTEN=127.0.0.1:70000"}, []string{"0 to 65535"}},
		{"every in words", []string{"NEWEL_DUMP_EVERY=daily"}, []string{"NEWEL_DUMP_EVERY", "24h"}},
		{"every negative", []string{"NEWEL_DUMP_EVERY=-1h"}, []string{"negative"}},
		{"keep none", []string{"NEWEL_DUMP_KEEP=0"}, []string{"at least 1"}},
		{"keep a word", []string{"NEWEL_DUMP_KEEP=all"}, []string{"NEWEL_DUMP_KEEP", "whole number"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			_, err := load(t, nil, tc.environ)
			if err == nil {
				t.Fatal("accepted")
			}
			for _, s := range tc.say {
				if !strings.Contains(err.Error(), s) {
					t.Errorf("%q does not say %q", err, s)
				}
			}
			if strings.Contains(err.Error(), "secret-") {
				t.Errorf("%q reveals a password", err)
			}
		})
	}
}

func TestEmptyDataDirFlagIsRefused(t *testing.T) {
	t.Parallel()
	if _, err := load(t, []string{"-data-dir", ""}, nil); err == nil || !strings.Contains(err.Error(), "NEWEL_DATA_DIR") {
		t.Errorf("got %v", err)
	}
}

func TestWarnings(t *testing.T) {
	t.Parallel()
	c, err := load(t, nil, []string{
		"NEWEL_BASE_URL=http://10.0.0.7:8080/",
		"DATABASE_URL=postgres://newel_app@db/newel", "NEWEL_OWNER_URL=postgres://newel_owner@db/newel",
	})
	if err != nil {
		t.Fatal(err)
	}
	w := strings.Join(c.Warnings(), "\n")
	for _, s := range []string{"plain http", "NEWEL_BACKUP_URL"} {
		if !strings.Contains(w, s) {
			t.Errorf("no warning about %q in %q", s, w)
		}
	}
	if c.BaseURL != "http://10.0.0.7:8080" {
		t.Errorf("base URL %q keeps its slash", c.BaseURL)
	}
}

func TestPrintHidesSecrets(t *testing.T) {
	t.Parallel()
	c, err := load(t, nil, []string{"DATABASE_URL=postgres://newel_app:secret-a@db/newel", "NEWEL_OWNER_URL=postgres://newel_owner:secret-b@db/newel"})
	if err != nil {
		t.Fatal(err)
	}
	got := c.String()
	if strings.Contains(got, "secret-") {
		t.Errorf("a password is printed:\n%s", got)
	}
	for _, s := range []string{"NEWEL_LISTEN=127.0.0.1:8080\n", "DATABASE_URL=(set, not shown)\n", "NEWEL_PG_BINDIR=(found automatically)\n"} {
		if !strings.Contains(got, s) {
			t.Errorf("missing %q in\n%s", s, got)
		}
	}
}

func TestUnknownNames(t *testing.T) {
	t.Parallel()
	got := UnknownNames([]string{"NEWEL_LISTN=x", "NEWEL_LISTEN=x", "HOME=/"})
	if d := cmp.Diff([]string{`"NEWEL_LISTN"`}, got); d != "" {
		t.Error(d)
	}
}

func TestEverySettingIsDescribed(t *testing.T) {
	t.Parallel()
	for _, s := range settings() {
		if s.flag == "" || s.env == "" || s.doc == "" || s.defaultText() == "" {
			t.Errorf("setting %+v lacks a tag", s)
		}
		if strings.Contains(s.doc, "|") {
			t.Errorf("%s: a bar would break the table", s.env)
		}
	}
}

// table returns the settings as a Markdown table for the documentation.
func table() string {
	var b strings.Builder
	b.WriteString("| environment | flag | default | meaning |\n| --- | --- | --- | --- |\n")
	for _, s := range settings() {
		def := s.shown
		if s.def != "" {
			def = "`" + s.def + "`"
		}
		fmt.Fprintf(&b, "| `%s` | `-%s` | %s | %s |\n", s.env, s.flag, def, s.doc)
	}
	return b.String()
}

// TestDocumentationDrift checks that the table in docs/configuration.md equals
// the settings. Run it with -update to rewrite the table.
func TestDocumentationDrift(t *testing.T) {
	t.Parallel()
	const begin, end = "<!-- settings: written by the test of internal/config -->\n", "<!-- end of settings -->"
	file := filepath.Join("..", "..", "docs", "configuration.md")
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	head, rest, ok := strings.Cut(string(b), begin)
	_, tail, ok2 := strings.Cut(rest, end)
	if !ok || !ok2 {
		t.Fatalf("%s lacks the markers %q and %q", file, begin, end)
	}
	want := head + begin + table() + end + tail
	if want == string(b) {
		return
	}
	if !*update {
		t.Fatalf("%s is out of date: go test ./internal/config -update", file)
	}
	if err := os.WriteFile(file, []byte(want), 0o644); err != nil {
		t.Fatal(err)
	}
}
