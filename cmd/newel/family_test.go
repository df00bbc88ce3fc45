package main

import (
	"bytes"
	"strings"
	"testing"

	"newel/internal/fixture"
	"newel/internal/pgtest"
)

// TestFamilyCommand checks that a family's record is exported in full and
// erased only by its own name, and that errors say what to do.
func TestFamilyCommand(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	w := fixture.Clinic(t, db)
	id := w.Home.ID.String()
	family := func(args ...string) (int, string) {
		var out bytes.Buffer
		code := dispatch(t.Context(), stdio{strings.NewReader(""), &out, &out}, append(append([]string{"family"}, args[:1]...), append([]string{"--database-url", db.URL, "--owner-url", db.OwnerURL}, args[1:]...)...))
		return code, out.String()
	}
	code, list := family("list")
	name := ""
	for line := range strings.Lines(list) {
		if rest, is := strings.CutPrefix(line, id+" "); is {
			name = strings.TrimSpace(rest)
		}
	}
	if code != 0 || name == "" {
		t.Fatalf("list: %d %s", code, list)
	}
	if code, out := family("export", id); code != 0 || !strings.Contains(out, `"table":"learner"`) {
		t.Errorf("export: %d %s", code, out)
	}
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"erase", id, name + " too"}, "nothing was erased"},
		{[]string{"erase", id}, "newel family help"},
		{[]string{"export", "nobody"}, "newel family list"},
	} {
		if code, out := family(c.args...); code != 1 || !strings.Contains(out, c.want) {
			t.Errorf("%v: %d %s", c.args, code, out)
		}
	}
	if code, out := family("erase", id, name); code != 0 || !strings.Contains(out, "Erased.") {
		t.Errorf("erase: %d %s", code, out)
	}
	if _, list := family("list"); strings.Contains(list, id) {
		t.Errorf("after erasing: %s", list)
	}
}
