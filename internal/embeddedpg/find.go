package embeddedpg

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// oldestMajor is the oldest major version whose SQL the migrations are written for.
const oldestMajor = 15

// binaries is one folder of PostgreSQL programs.
type binaries struct {
	dir   string
	major int
}

// Where PostgreSQL's programs usually are: Debian and Ubuntu, Red Hat, Alpine,
// a build from source, Homebrew on both kinds of Mac, Postgres.app.
var usualPlaces = []string{
	"/usr/lib/postgresql/*/bin",
	"/usr/pgsql-*/bin",
	"/usr/libexec/postgresql*",
	"/usr/local/pgsql/bin",
	"/opt/homebrew/opt/postgresql@*/bin",
	"/usr/local/opt/postgresql@*/bin",
	"/Applications/Postgres.app/Contents/Versions/*/bin",
}

// FindBinDir returns the folder of the PostgreSQL programs that Start would
// use. That is prefer (NEWEL_PG_BINDIR) if it is not empty, otherwise the
// highest version installed on the system, otherwise programs downloaded to
// dataDir/pgbin. If dataDir already holds a cluster, only the cluster's major
// version qualifies. The error wraps ErrNoBinaries or ErrOtherMajor and says
// what to do.
func FindBinDir(prefer, dataDir string) (string, error) {
	major, err := clusterMajor(filepath.Join(dataDir, clusterName))
	if err != nil {
		return "", err
	}
	b, err := find(prefer, dataDir, major, filepath.Join(dataDir, "dumps"))
	return b.dir, err
}

// find chooses programs; major 0 accepts any version.
func find(prefer, dataDir string, major int, dumpDir string) (binaries, error) {
	if prefer != "" {
		b, err := inspect(prefer)
		if err != nil {
			return binaries{}, fmt.Errorf("NEWEL_PG_BINDIR is %s, but %w; set it to the folder that holds postgres and initdb, or unset it to search the usual places", prefer, err)
		}
		if major != 0 && b.major != major {
			return binaries{}, fmt.Errorf("%w (NEWEL_PG_BINDIR is set: you can also point it to a PostgreSQL %d, or unset it)", otherMajor(dataDir, major, []binaries{b}, dumpDir), major)
		}
		return b, nil
	}
	all := installed(dataDir)
	for _, b := range all {
		if major == 0 || b.major == major {
			return b, nil
		}
	}
	if len(all) > 0 {
		return binaries{}, otherMajor(dataDir, major, all, dumpDir)
	}
	return binaries{}, noBinaries(major)
}

// installed lists usable programs, best first: those of the system by
// descending version, then those downloaded to the data folder, which lack
// pg_dump.
func installed(dataDir string) []binaries {
	var dirs []string
	for _, pattern := range usualPlaces {
		found, _ := filepath.Glob(pattern) // the patterns are constants and well formed
		dirs = append(dirs, found...)
	}
	if p, err := exec.LookPath("postgres"); err == nil {
		if p, err = filepath.EvalSymlinks(p); err == nil {
			dirs = append(dirs, filepath.Dir(p))
		}
	}
	var out []binaries
	for _, d := range dirs {
		if b, err := inspect(d); err == nil {
			out = append(out, b)
		}
	}
	slices.SortStableFunc(out, func(a, b binaries) int { return cmp.Compare(b.major, a.major) })
	if b, err := inspect(filepath.Join(dataDir, "pgbin", "native", "bin")); err == nil {
		out = append(out, b)
	}
	return out
}

// inspect checks that dir holds a server of a supported version.
func inspect(dir string) (binaries, error) {
	for _, name := range []string{"postgres", "initdb"} {
		st, err := os.Stat(filepath.Join(dir, name))
		if err != nil || st.IsDir() || st.Mode()&0o111 == 0 {
			return binaries{}, fmt.Errorf("it has no program %s", name)
		}
	}
	major, err := programMajor(filepath.Join(dir, "postgres"))
	if err != nil {
		return binaries{}, err
	}
	if major < oldestMajor {
		return binaries{}, fmt.Errorf("it holds PostgreSQL %d, but Newel needs %d or newer", major, oldestMajor)
	}
	abs, err := filepath.Abs(dir)
	return binaries{dir: abs, major: major}, err
}

var versionText = regexp.MustCompile(`\(PostgreSQL\) (\d+)`)

// programMajor returns the major version that a PostgreSQL program reports.
func programMajor(path string) (int, error) {
	out, err := exec.Command(path, "--version").Output()
	if err != nil {
		return 0, fmt.Errorf("%s does not run: %w", path, err)
	}
	m := versionText.FindSubmatch(out)
	if m == nil {
		return 0, fmt.Errorf("%s reports %q, which is not a version", path, strings.TrimSpace(string(out)))
	}
	return strconv.Atoi(string(m[1]))
}

// clusterMajor returns the major version that created the cluster, or 0 if
// there is none.
func clusterMajor(cluster string) (int, error) {
	b, err := os.ReadFile(filepath.Join(cluster, "PG_VERSION"))
	if errors.Is(err, os.ErrNotExist) {
		return 0, nil
	}
	if err != nil {
		return 0, fmt.Errorf("read the version of the database in %s: %w", cluster, err)
	}
	n, err := strconv.Atoi(strings.TrimSpace(string(b)))
	if err != nil || n < 1 {
		return 0, fmt.Errorf("%s/PG_VERSION contains %q instead of a version; restore the folder from a backup copy", cluster, strings.TrimSpace(string(b)))
	}
	return n, nil
}

func noBinaries(major int) error {
	deb, brew := "postgresql", "postgresql@17"
	if major != 0 {
		deb, brew = fmt.Sprintf("postgresql-%d", major), fmt.Sprintf("postgresql@%d", major)
	}
	return fmt.Errorf("%w; install one (Debian, Ubuntu: apt-get install %s; macOS: brew install %s), or set NEWEL_PG_BINDIR to the folder of an installed one, or set DATABASE_URL and NEWEL_OWNER_URL to use a PostgreSQL that runs elsewhere",
		ErrNoBinaries, deb, brew)
}

func otherMajor(dataDir string, major int, have []binaries, dumpDir string) error {
	var names []string
	for _, b := range have {
		names = append(names, fmt.Sprintf("%d in %s", b.major, b.dir))
	}
	newest := "no database backup was found in " + dumpDir + ", so you need the old version to make one"
	if d, err := Dumps(dumpDir); err == nil && len(d) > 0 {
		newest = "the newest database backup is " + d[0]
	}
	cluster := filepath.Join(dataDir, clusterName)
	return fmt.Errorf("%w: %s needs PostgreSQL %d, but the installed version is %s. Nothing was changed. Either install PostgreSQL %d as well (Debian, Ubuntu: apt-get install postgresql-%d), or move to the new version: move %s aside, start Newel once, and restore a database backup with pg_restore (%s)",
		ErrOtherMajor, cluster, major, strings.Join(names, ", "), major, major, cluster, newest)
}
