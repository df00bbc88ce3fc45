package main

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"github.com/andybalholm/brotli"

	"newel/web"
)

// write puts the files, their compressed copies and the manifest of names into
// dist, and removes what an earlier build left there.
func write(dist string, files []file) error {
	if err := clear(dist); err != nil {
		return err
	}
	names := map[string]string{}
	for _, f := range files {
		if f.name != f.hashed { // the few that keep their names are not looked up by name
			names[f.name] = f.hashed
		}
		if err := writeForms(filepath.Join(dist, f.hashed), f.body); err != nil {
			return err
		}
	}
	list, err := json.MarshalIndent(names, "", "  ")
	if err != nil {
		return fmt.Errorf("write the list of assets: %w", err)
	}
	// The manifest comes last: after an interrupted build it is missing, and
	// the server reports missing assets.
	return put(filepath.Join(dist, web.ManifestName), append(list, '\n'))
}

func clear(dist string) error {
	if err := os.MkdirAll(dist, 0o755); err != nil {
		return fmt.Errorf("make dist: %w", err)
	}
	old, err := os.ReadDir(dist)
	if err != nil {
		return fmt.Errorf("read dist: %w", err)
	}
	for _, entry := range old {
		if entry.Name() == ".keep" {
			continue
		}
		if err := os.RemoveAll(filepath.Join(dist, entry.Name())); err != nil {
			return fmt.Errorf("clear dist: %w", err)
		}
	}
	return nil
}

func writeForms(path string, body []byte) error {
	if err := put(path, body); err != nil {
		return err
	}
	br, err := brotliOf(body)
	if err != nil {
		return err
	}
	gz, err := gzipOf(body)
	if err != nil {
		return err
	}
	if err := put(path+".br", br); err != nil {
		return err
	}
	return put(path+".gz", gz)
}

func put(path string, body []byte) error {
	if err := os.WriteFile(path, body, 0o644); err != nil {
		return fmt.Errorf("write an asset: %w", err)
	}
	return nil
}

func brotliOf(body []byte) ([]byte, error) {
	var b bytes.Buffer
	w := brotli.NewWriterLevel(&b, brotli.BestCompression)
	if _, err := w.Write(body); err != nil {
		return nil, fmt.Errorf("compress: %w", err)
	}
	if err := w.Close(); err != nil {
		return nil, fmt.Errorf("compress: %w", err)
	}
	return b.Bytes(), nil
}

func gzipOf(body []byte) ([]byte, error) {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, fmt.Errorf("compress: %w", err)
	}
	if _, err := w.Write(body); err != nil {
		return nil, fmt.Errorf("compress: %w", err)
	}
	if err := w.Close(); err != nil {
		return nil, fmt.Errorf("compress: %w", err)
	}
	return b.Bytes(), nil
}
