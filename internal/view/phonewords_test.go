package view

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
)

// keyInScript matches a catalogue key in a phone script. A key that ends with a
// dot is completed at run time.
var keyInScript = regexp.MustCompile(`"((?:today|teach|recorder|face|phone|outbox)\.[a-z_.]*[a-z_])"`)

// TestShellContainsTheTextsOfItsScripts checks that the shell contains all texts
// of its scripts; a missing one would show its key.
func TestShellContainsTheTextsOfItsScripts(t *testing.T) {
	t.Parallel()
	brought := slices.Concat(shellWords, outboxWords)
	var files []string
	for _, pattern := range []string{"*.ts", "face/*.ts"} {
		found, err := filepath.Glob(filepath.Join("..", "..", "web", "src", "ts", "phone", pattern))
		if err != nil || len(found) == 0 {
			t.Fatal(len(found), err)
		}
		files = append(files, found...)
	}
	found := 0
	for _, file := range files {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range keyInScript.FindAllStringSubmatch(string(raw), -1) {
			found++
			if !slices.Contains(brought, m[1]) {
				t.Errorf("%s uses %s, which the shell does not contain", filepath.Base(file), m[1])
			}
		}
	}
	if found < 30 {
		t.Errorf("only %d keys found in the scripts", found)
	}
}
