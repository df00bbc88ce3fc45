package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

const (
	phoneEntry  = "ts/phone/phone.ts"
	phoneShared = "phone-shared.js" // what phone.js, the recorder and its faces need
)

// buildPhone builds the phone's script in pieces: phone.js; the recorder, and
// one file for each of its faces (ts/phone/face), which a phone loads only when
// a step is recorded with it; and one file for what these share
// (ts/phone/common.ts).
func buildPhone(root string) ([]file, error) {
	o := options(root, entry{phoneEntry, api.FormatESModule})
	o.Splitting, o.Metafile, o.ChunkNames = true, true, "[name]-[hash]"
	result := api.Build(o)
	if len(result.Errors) > 0 {
		return nil, errors.New(strings.Join(api.FormatMessages(result.Errors, api.FormatMessagesOptions{}), "\n"))
	}
	names, err := pieceNames(result.Metafile)
	if err != nil {
		return nil, err
	}
	files := make([]file, 0, len(result.OutputFiles))
	for _, out := range result.OutputFiles {
		hashed := filepath.Base(out.Path)
		files = append(files, file{name: names[hashed], hashed: hashed, body: out.Contents})
	}
	slices.SortFunc(files, func(a, b file) int { return strings.Compare(a.name, b.name) })
	return files, nil
}

// pieceNames returns the plain name of each piece by its hashed name.
func pieceNames(metafile string) (map[string]string, error) {
	var meta struct {
		Outputs map[string]struct {
			EntryPoint string `json:"entryPoint"`
			Imports    []struct{ Path, Kind string }
		}
	}
	if err := json.Unmarshal([]byte(metafile), &meta); err != nil {
		return nil, fmt.Errorf("read the pieces of phone.js: %w", err)
	}
	names := map[string]string{}
	var loose []string
	shared := map[string]bool{}
	for at, out := range meta.Outputs {
		hashed := path.Base(at)
		switch {
		case out.EntryPoint == "src/"+phoneEntry:
			names[hashed] = "phone.js"
			for _, i := range out.Imports {
				if i.Kind == "import-statement" {
					shared[path.Base(i.Path)] = true
				}
			}
		case out.EntryPoint != "":
			names[hashed] = pieceName(out.EntryPoint)
		default:
			loose = append(loose, hashed)
		}
	}
	// Each shared piece is one more request before anything is shown. With
	// everything that is shared in common.ts there is one; a test says so.
	slices.Sort(loose)
	for i, hashed := range loose {
		switch {
		case !shared[hashed]:
			names[hashed] = fmt.Sprintf("face-shared-%d.js", i+1)
		case !slices.Contains(slices.Collect(maps.Values(names)), phoneShared):
			names[hashed] = phoneShared
		default:
			names[hashed] = fmt.Sprintf("phone-shared-%d.js", i+1)
		}
	}
	return names, nil
}

// pieceName names a piece that is loaded on demand: "face-rail.js",
// "phone-recorder.js".
func pieceName(source string) string {
	name := strings.TrimSuffix(path.Base(source), ".ts") + ".js"
	if path.Base(path.Dir(source)) == "face" {
		return "face-" + name
	}
	return "phone-" + name
}
