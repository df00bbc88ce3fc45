package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// engines are the oldest browsers that the bundles support. A caregiver's phone
// may be old and its WebView never updated: Chrome 80 (February 2020) is the
// oldest with everything that the recorder requires (modules, IndexedDB
// transactions with promises, optional chaining lowered or not), and Safari 14
// is the equivalent for iOS. esbuild lowers newer syntax to these. It does not
// add missing functions, so the sources use none that are newer.
var engines = []api.Engine{
	{Name: api.EngineChrome, Version: "80"},
	{Name: api.EngineSafari, Version: "14"},
	{Name: api.EngineFirefox, Version: "78"},
}

// An entry is one file that a page loads.
type entry struct {
	source string // below src
	format api.Format
}

// entries lists all files that pages may load, besides the phone's script
// ([buildPhone]). A classic script is one that must run before the first paint.
var entries = []entry{
	{"ts/shared/theme.ts", api.FormatIIFE},
	{"ts/staff/staff.ts", api.FormatESModule},
	{"ts/phone/caregiver.ts", api.FormatESModule},
	{"ts/phone/joining.ts", api.FormatESModule},
	{"ts/phone/preview.ts", api.FormatESModule},
	{"css/staff.css", api.FormatDefault},
	{"css/caregiver.css", api.FormatDefault},
	{"css/joining.css", api.FormatDefault},
	{"css/preview.css", api.FormatDefault},
}

// pictures are served unchanged, under a name with their hash.
var pictures = []string{"img/icon.svg"}

// A file is one built asset.
type file struct {
	name   string // "staff.css"
	hashed string // "staff-7KXQ2M4A.css"
	body   []byte
}

// bundle builds every entry. root is the absolute path of the web folder.
func bundle(root string) ([]file, error) {
	var files []file
	for _, e := range entries {
		f, err := build(root, e)
		if err != nil {
			return nil, err
		}
		files = append(files, f)
	}
	phone, err := buildPhone(root)
	if err != nil {
		return nil, err
	}
	files = append(files, phone...)
	for _, source := range pictures {
		f, err := picture(root, source)
		if err != nil {
			return nil, err
		}
		files = append(files, f)
	}
	return withPhoneFiles(root, files)
}

func picture(root, source string) (file, error) {
	body, err := os.ReadFile(filepath.Join(root, "src", filepath.FromSlash(source)))
	if err != nil {
		return file{}, fmt.Errorf("read a picture: %w", err)
	}
	sum := sha256.Sum256(body)
	base, ext := filepath.Base(source), filepath.Ext(source)
	return file{
		name:   base,
		hashed: strings.TrimSuffix(base, ext) + "-" + strings.ToUpper(hex.EncodeToString(sum[:4])) + ext,
		body:   body,
	}, nil
}

func build(root string, e entry) (file, error) { return buildWith(root, e, nil) }

// buildWith builds an entry, replacing the defined names with values.
func buildWith(root string, e entry, define map[string]string) (file, error) {
	o := options(root, e)
	o.Define = define
	result := api.Build(o)
	if len(result.Errors) > 0 {
		return file{}, errors.New(strings.Join(api.FormatMessages(result.Errors, api.FormatMessagesOptions{}), "\n"))
	}
	if len(result.OutputFiles) != 1 {
		return file{}, fmt.Errorf("%s: esbuild made %d files instead of one", e.source, len(result.OutputFiles))
	}
	out := result.OutputFiles[0]
	base := filepath.Base(e.source)
	return file{
		name:   strings.TrimSuffix(base, filepath.Ext(base)) + filepath.Ext(out.Path),
		hashed: filepath.Base(out.Path),
		body:   out.Contents,
	}, nil
}

// options are those that all entries are built with.
func options(root string, e entry) api.BuildOptions {
	return api.BuildOptions{
		EntryPoints:   []string{filepath.Join(root, "src", filepath.FromSlash(e.source))},
		AbsWorkingDir: root,
		Outdir:        filepath.Join(root, "dist"),
		EntryNames:    "[name]-[hash]",
		Bundle:        true,
		Format:        e.format,
		Engines:       engines,
		// esbuild counts one rare bug of Safari 14.0 (names in nested patterns)
		// as "no destructuring" and then gives up. Neither our sources nor htmx
		// contain the pattern in question.
		Supported:         map[string]bool{"destructuring": true},
		Charset:           api.CharsetUTF8,
		LegalComments:     api.LegalCommentsEndOfFile,
		MinifyWhitespace:  true,
		MinifyIdentifiers: true,
		MinifySyntax:      true,
		Plugins:           []api.Plugin{lowerLogical},
		LogLevel:          api.LogLevelSilent,
	}
}

// lowerLogical expands the shorthands of logical properties, which esbuild does
// not do (see [longhand]).
var lowerLogical = api.Plugin{
	Name: "lower-logical",
	Setup: func(b api.PluginBuild) {
		b.OnLoad(api.OnLoadOptions{Filter: `\.css$`}, func(args api.OnLoadArgs) (api.OnLoadResult, error) {
			raw, err := os.ReadFile(args.Path)
			if err != nil {
				return api.OnLoadResult{}, fmt.Errorf("read a style sheet: %w", err)
			}
			css := longhand(string(raw))
			return api.OnLoadResult{Contents: &css, Loader: api.LoaderCSS, ResolveDir: filepath.Dir(args.Path)}, nil
		})
	},
}
