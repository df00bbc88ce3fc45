package embeddedpg

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestPreferredProgramsWin(t *testing.T) {
	t.Parallel()
	base := t.TempDir()
	dir := fakePrograms(t, filepath.Join(base, "bin"), 99, "postgres", "initdb")
	got, err := FindBinDir(dir, base)
	if err != nil || got != dir {
		t.Errorf("got %s, %v", got, err)
	}
}

func TestUnusablePreferredPrograms(t *testing.T) {
	t.Parallel()
	base := t.TempDir()
	for _, tc := range []struct{ name, dir, say string }{
		{"none", base, "no program postgres"},
		{"half", fakePrograms(t, filepath.Join(base, "half"), 17, "postgres"), "no program initdb"},
		{"old", fakePrograms(t, filepath.Join(base, "old"), 14, "postgres", "initdb"), "15 or newer"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			_, err := FindBinDir(tc.dir, base)
			if err == nil || !strings.Contains(err.Error(), tc.say) || !strings.Contains(err.Error(), "NEWEL_PG_BINDIR") {
				t.Errorf("got %v", err)
			}
		})
	}
}

func TestPreferredProgramsOfAnotherVersion(t *testing.T) {
	t.Parallel()
	base := t.TempDir()
	dir := fakePrograms(t, filepath.Join(base, "bin"), 99, "postgres", "initdb")
	if err := os.Mkdir(filepath.Join(base, clusterName), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(base, clusterName, "PG_VERSION"), []byte("15\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := FindBinDir(dir, base); !errors.Is(err, ErrOtherMajor) || !strings.Contains(err.Error(), "99 in "+dir) {
		t.Errorf("got %v", err)
	}
}

func TestFetchedProgramsComeLast(t *testing.T) {
	t.Parallel()
	base := t.TempDir()
	dir := fakePrograms(t, filepath.Join(base, "pgbin", "native", "bin"), 99, "postgres", "initdb")
	all := installed(base)
	if len(all) == 0 || all[len(all)-1].dir != dir {
		t.Fatalf("got %v", all)
	}
	for i := 1; i < len(all)-1; i++ {
		if all[i].major > all[i-1].major {
			t.Errorf("not in descending order of version: %v", all)
		}
	}
	// They open data that they created, whatever else is installed.
	if b, err := find("", base, 99, base); err != nil || b.dir != dir {
		t.Errorf("got %v, %v", b, err)
	}
}

func TestMissingProgramsSayWhatToInstall(t *testing.T) {
	t.Parallel()
	err := noBinaries(0)
	for _, s := range []string{"apt-get install postgresql;", "brew install postgresql@17", "NEWEL_PG_BINDIR", "DATABASE_URL", "NEWEL_OWNER_URL"} {
		if !strings.Contains(err.Error(), s) {
			t.Errorf("%q lacks %q", err, s)
		}
	}
	if !errors.Is(err, ErrNoBinaries) || !strings.Contains(noBinaries(16).Error(), "postgresql-16") {
		t.Error(err)
	}
}

func TestDamagedVersionFile(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "PG_VERSION"), []byte("?\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := clusterMajor(dir); err == nil || !strings.Contains(err.Error(), "PG_VERSION") {
		t.Errorf("got %v", err)
	}
}
