package view

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
)

// keyInScript is a catalogue key as a script of the phone names it. One that
// ends with a dot is put together there.
var keyInScript = regexp.MustCompile(`"((?:today|teach|recorder|phone|outbox)\.[a-z_.]*[a-z_])"`)

// TestShellBringsTheWordsOfItsScripts: a key that the page does not bring would
// be shown as it is.
func TestShellBringsTheWordsOfItsScripts(t *testing.T) {
	t.Parallel()
	brought := slices.Concat(shellWords, waitWords)
	files, err := filepath.Glob(filepath.Join("..", "..", "web", "src", "ts", "phone", "*.ts"))
	if err != nil || len(files) == 0 {
		t.Fatal(len(files), err)
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
				t.Errorf("%s says %s, which the shell does not bring", filepath.Base(file), m[1])
			}
		}
	}
	if found < 30 {
		t.Errorf("only %d keys found in the scripts", found)
	}
}
