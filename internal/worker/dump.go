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
	BinDir string // where pg_dump is looked for first
	URL    string // as the back-up role
	Dir    string
	Keep   int // dumps that are kept
	Log    *slog.Logger
	Now    func() time.Time
}

// Dump makes one dump now and deletes those over the number kept.
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

// Task makes dumps on schedule. A server that is restarted often still makes
// them: the first is due when the newest one found is older than every.
func (d Dumper) Task(every time.Duration) Task {
	return Task{Name: "dump", First: d.due(every), Every: every, Do: d.Dump}
}

// settle keeps a first dump out of the way of a start.
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
