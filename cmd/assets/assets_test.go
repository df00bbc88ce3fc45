package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"newel/web"
)

func TestLonghand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, in, want string }{
		{"one value", "a { margin-inline: auto; }", "a { margin-inline-start: auto; margin-inline-end: auto; }"},
		{"two values", "a{padding-block:1px 2px}", "a{padding-block-start: 1px; padding-block-end: 2px}"},
		{"parentheses are not split", "a { margin-inline: calc(-1 * var(--s3)) 0; }", "a { margin-inline-start: calc(-1 * var(--s3)); margin-inline-end: 0; }"},
		{"a border is one value", "a { border-inline: 1px solid red; }", "a { border-inline-start: 1px solid red; border-inline-end: 1px solid red; }"},
		{"ends are left alone", "a { padding-inline-end: 1px; }", "a { padding-inline-end: 1px; }"},
		{"names that only look alike", "a { --padding-inline: 1px; }", "a { --padding-inline: 1px; }"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if got := longhand(c.in); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

func TestWriteLeavesOneBuild(t *testing.T) {
	t.Parallel()
	dist := t.TempDir()
	for _, left := range []string{".keep", "old-1234.js", "old-1234.js.br"} {
		if err := os.WriteFile(filepath.Join(dist, left), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := write(dist, []file{{name: "staff.css", hashed: "staff-AAAA.css", body: []byte("a{color:red}")}}); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]bool{
		".keep": true, "old-1234.js": false, "old-1234.js.br": false,
		"staff-AAAA.css": true, "staff-AAAA.css.br": true, "staff-AAAA.css.gz": true,
	} {
		_, err := os.Stat(filepath.Join(dist, name))
		if got := err == nil; got != want {
			t.Errorf("%s: there %v, want %v", name, got, want)
		}
	}
	raw, err := os.ReadFile(filepath.Join(dist, web.ManifestName))
	if err != nil {
		t.Fatal(err)
	}
	var names map[string]string
	if err := json.Unmarshal(raw, &names); err != nil {
		t.Fatal(err)
	}
	if names["staff.css"] != "staff-AAAA.css" {
		t.Errorf("list: got %v", names)
	}
}
