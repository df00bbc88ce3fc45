// Command assets bundles the client's sources into web/dist: one pass of
// esbuild, a manifest from plain names to hashed ones, and compressed copies
// made once at build time.
//
// Third-party code comes only from web/node_modules, which "npm ci --prefix
// web" installs from the lock file.
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
)

func main() {
	dir := flag.String("web", "web", "the folder that holds src, node_modules and dist")
	flag.Parse()
	if err := run(*dir); err != nil {
		fmt.Fprintln(os.Stderr, "assets:", err)
		os.Exit(1)
	}
}

func run(dir string) error {
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "htmx.org")); err != nil {
		return fmt.Errorf("the client's dependencies are missing: run npm ci --prefix %s --ignore-scripts", dir)
	}
	root, err := filepath.Abs(dir)
	if err != nil {
		return fmt.Errorf("find %s: %w", dir, err)
	}
	files, err := bundle(root)
	if err != nil {
		return err
	}
	return write(filepath.Join(root, "dist"), files)
}
