// Command gallery writes every component with invented data as pages that open
// without a database, for the browser tests and for design work.
package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"html"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"newel/internal/gallery"
	"newel/web"
)

func main() {
	out := flag.String("out", "gallery", "the folder to write to")
	flag.Parse()
	if err := run(context.Background(), *out); err != nil {
		fmt.Fprintln(os.Stderr, "gallery:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, out string) error {
	assets, err := web.Load()
	if err != nil {
		return err
	}
	if err := copyAssets(assets, filepath.Join(out, "assets")); err != nil {
		return err
	}
	var list strings.Builder
	for _, e := range gallery.Exhibits() {
		var page bytes.Buffer
		if err := e.Component(assets.Asset).Render(ctx, &page); err != nil {
			return fmt.Errorf("render %s: %w", e.Name, err)
		}
		if err := os.WriteFile(filepath.Join(out, e.Name+".html"), page.Bytes(), 0o644); err != nil {
			return fmt.Errorf("write %s: %w", e.Name, err)
		}
		fmt.Fprintf(&list, "<li><a href=\"/%s.html\">%s</a></li>\n", e.Name, html.EscapeString(e.Title))
	}
	index := "<!DOCTYPE html><html lang=\"en\"><meta charset=\"utf-8\"><title>Gallery</title><h1>Gallery</h1><ul>\n" + list.String() + "</ul></html>\n"
	if err := os.WriteFile(filepath.Join(out, "index.html"), []byte(index), 0o644); err != nil {
		return fmt.Errorf("write the list: %w", err)
	}
	return nil
}

func copyAssets(assets *web.Assets, to string) error {
	if err := os.MkdirAll(to, 0o755); err != nil {
		return fmt.Errorf("make the folder: %w", err)
	}
	for name, path := range assets.Names() {
		body, err := fs.ReadFile(assets.Files(), strings.TrimPrefix(path, web.Prefix))
		if err != nil {
			return fmt.Errorf("read %s: %w", name, err)
		}
		if err := os.WriteFile(filepath.Join(to, filepath.Base(path)), body, 0o644); err != nil {
			return fmt.Errorf("write %s: %w", name, err)
		}
	}
	return nil
}
