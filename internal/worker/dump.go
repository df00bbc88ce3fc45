package worker

import (
	"context"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"newel/internal/embeddedpg"
)

// Dumper makes logical dumps of the database into a folder.
type Dumper struct {
	BinDir string // searched first for pg_dump
	URL    string // connection as the backup role
	Dir    string
	Keep   int // number of dumps to keep
	Log    *slog.Logger
	Now    func() time.Time
}

// Dump makes a dump now and deletes the oldest dumps beyond Keep.
func (d Dumper) Dump(ctx context.Context) error {
	if err := os.MkdirAll(d.Dir, 0o700); err != nil {
		return err
	}
	file := filepath.Join(d.Dir, embeddedpg.DumpName(d.Now()))
	if err := embeddedpg.Dump(ctx, d.BinDir, d.URL, file); err != nil {
		return err
	}
	d.Log.InfoContext(ctx, "database dumped", "file", file)
	return embeddedpg.Prune(d.Dir, d.Keep)
}

// Task returns the scheduled dump. Servers that restart often still make dumps:
// the first is due when the newest existing one is older than every.
func (d Dumper) Task(every time.Duration) Task {
	return Task{Name: "dump", First: d.due(every), Every: every, Do: d.Dump}
}

// settle delays the first dump so that it does not slow down a start.
const settle = time.Minute

func (d Dumper) due(every time.Duration) time.Duration {
	names, err := embeddedpg.Dumps(d.Dir)
	if err != nil || len(names) == 0 {
		return settle
	}
	name := names[0]
	if !filepath.IsAbs(name) {
		name = filepath.Join(d.Dir, name)
	}
	info, err := os.Stat(name)
	if err != nil {
		return settle
	}
	return max(settle, info.ModTime().Add(every).Sub(d.Now()))
}
