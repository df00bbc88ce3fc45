package web

import (
	"bytes"
	"compress/gzip"
	"io"
	"strings"
	"testing"
)

// The phone's budgets in bytes. They are our own, chosen for an old phone on
// a bad line.
const (
	mostTodayScript    = 35 << 10  // phone.js and what it shares with the recorder, gzipped
	mostRecorderScript = 35 << 10  // the recorder with all its faces, gzipped
	mostFirstView      = 150 << 10 // everything that Today loads, gzipped
)

// TestPhoneBudgets weighs what was built. A checkout without assets has
// nothing to weigh; the browser tests build them first and so does the release.
func TestPhoneBudgets(t *testing.T) {
	t.Parallel()
	a, err := Load()
	if err != nil {
		t.Logf("not weighed: %v", err)
		return
	}
	total := 0
	for _, name := range []string{"theme.js", "phone.js", "phone-shared.js", "caregiver.css", "icon.svg", "icon-192.png"} {
		total += weighed(t, a, strings.TrimPrefix(a.Asset(name), Prefix))
	}
	today, recorder, shared := 0, 0, 0
	for name, path := range a.Names() {
		switch {
		case name == "phone.js" || strings.HasPrefix(name, "phone-shared"):
			today += weighed(t, a, strings.TrimPrefix(path, Prefix))
		case strings.HasPrefix(name, "face-") || name == "phone-recorder.js":
			recorder += weighed(t, a, strings.TrimPrefix(path, Prefix))
		}
		if strings.HasPrefix(name, "phone-shared") {
			shared++
		}
	}
	if today > mostTodayScript {
		t.Errorf("the script of Today: %d bytes gzipped, at most %d", today, mostTodayScript)
	}
	if recorder > mostRecorderScript {
		t.Errorf("the recorder with all its faces: %d bytes gzipped, at most %d", recorder, mostRecorderScript)
	}
	if shared != 1 {
		t.Errorf("phone.js loads %d shared files instead of one: add what it shares with the recorder to common.ts", shared)
	}
	t.Logf("Today: %d bytes gzipped; the recorder with all its faces: %d", today, recorder)
	worker, ok := a.Root("sw.js")
	if !ok {
		t.Fatal("sw.js was not built")
	}
	total += zipped(t, worker)
	// The document itself is weighed where it is rendered; it may have 30 KiB of this.
	if total > mostFirstView-30<<10 {
		t.Errorf("first view: %d bytes gzipped without the document, at most %d", total, mostFirstView-30<<10)
	}
	t.Logf("first view without the document: %d bytes gzipped", total)
}

func weighed(t *testing.T, a *Assets, name string) int {
	t.Helper()
	f, err := a.Files().Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	body, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	return zipped(t, body)
}

func zipped(t *testing.T, body []byte) int {
	t.Helper()
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	if _, err := w.Write(body); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Len()
}

// TestWorkerKeepsWhatTodayNeeds: every file of the list is served, and the
// worker never waits in a list of names that a page might load it by.
func TestWorkerKeepsWhatTodayNeeds(t *testing.T) {
	t.Parallel()
	a, err := Load()
	if err != nil {
		t.Logf("not looked at: %v", err)
		return
	}
	worker, _ := a.Root("sw.js")
	for _, name := range []string{"theme.js", "phone.js", "phone-shared.js", "phone-recorder.js", "face-rail.js", "caregiver.css"} {
		if !bytes.Contains(worker, []byte(`"`+a.Asset(name)+`"`)) {
			t.Errorf("sw.js does not keep %s", a.Asset(name))
		}
	}
	if _, ok := a.Names()["sw.js"]; ok {
		t.Error("sw.js is among the files that may be kept for good")
	}
}
