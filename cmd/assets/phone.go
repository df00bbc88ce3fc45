package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"github.com/evanw/esbuild/pkg/api"

	"newel/web"
)

// offline lists the assets that the phone's pages need without signal, by plain
// name, besides the recorder's faces.
var offline = []string{"theme.js", "phone.js", phoneShared, "caregiver.js", "caregiver.css", "icon.svg", "icon-192.png", "icon-512.png"}

// withPhoneFiles adds what makes the phone's pages work without signal: the
// icons, the web app manifest, and the service worker with the list of files it
// caches and a hash of that list.
func withPhoneFiles(root string, files []file) ([]file, error) {
	for _, size := range []int{192, 512} {
		f, err := icon(size)
		if err != nil {
			return nil, err
		}
		files = append(files, f)
	}
	manifest, err := webManifest(files)
	if err != nil {
		return nil, err
	}
	worker, err := worker(root, files)
	if err != nil {
		return nil, err
	}
	off, err := build(root, entry{"sw/off.ts", api.FormatIIFE})
	off.name = "sw-off.js"
	off.hashed = off.name
	return append(files, manifest, worker, off), err
}

func worker(root string, files []file) (file, error) {
	var list []string
	found := 0
	for _, f := range files {
		needed := slices.Contains(offline, f.name)
		if needed {
			found++
		}
		// Whatever step is started without signal, its face is there.
		if needed || strings.HasPrefix(f.name, "face-") || strings.HasPrefix(f.name, "phone-") {
			list = append(list, web.Prefix+f.hashed)
		}
	}
	if found != len(offline) {
		return file{}, fmt.Errorf("service worker: %d of %d assets were built", found, len(offline))
	}
	slices.Sort(list)
	assets, err := json.Marshal(list)
	if err != nil {
		return file{}, fmt.Errorf("service worker: %w", err)
	}
	sum := sha256.Sum256(assets)
	f, err := buildWith(root, entry{"sw/sw.ts", api.FormatIIFE}, map[string]string{
		"NEWEL_ASSETS": string(assets), "NEWEL_BUILD": `"` + hex.EncodeToString(sum[:8]) + `"`,
	})
	f.hashed = f.name
	return f, err
}

// webManifest returns the manifest that a browser reads when the page is added
// to the home screen. Name and icon reveal nothing about anyone.
func webManifest(files []file) (file, error) {
	type picture struct {
		Src     string `json:"src"`
		Sizes   string `json:"sizes"`
		Type    string `json:"type"`
		Purpose string `json:"purpose"`
	}
	var icons []picture
	for _, size := range []string{"192", "512"} {
		at := slices.IndexFunc(files, func(f file) bool { return f.name == "icon-"+size+".png" })
		icons = append(icons, picture{web.Prefix + files[at].hashed, size + "x" + size, "image/png", "any maskable"})
	}
	body, err := json.MarshalIndent(map[string]any{
		"id": "/today", "name": "Newel", "short_name": "Newel", "start_url": "/today", "scope": "/", "display": "standalone",
		"background_color": "#F6F1E6", "theme_color": "#F6F1E6", "icons": icons,
	}, "", "  ")
	if err != nil {
		return file{}, fmt.Errorf("web app manifest: %w", err)
	}
	return file{name: "manifest.webmanifest", hashed: "manifest.webmanifest", body: append(body, '\n')}, nil
}
