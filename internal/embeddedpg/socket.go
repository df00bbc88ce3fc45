//go:build unix

package embeddedpg

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
)

// longestSocket is what fits in sockaddr_un.sun_path with its terminating zero:
// 104 bytes on macOS and the BSDs, 108 on Linux (unix(4), unix(7)). The smaller
// limit applies everywhere.
const longestSocket = 103

// socketDir chooses and prepares the folder for the socket.
func socketDir(home string, acct account) (string, error) {
	dir := filepath.Join(home, "run")
	if len(dir)+len("/.s.PGSQL.5432") > longestSocket {
		h := sha256.Sum256([]byte(home))
		dir = fmt.Sprintf("/tmp/newel-%d-%x", acct.uid, h[:6])
	}
	return dir, privateDir(dir, acct)
}

// privateDir creates dir, closed to everyone but the account. In a shared place
// someone else may have created it first, to eavesdrop; privateDir refuses such
// a folder.
func privateDir(dir string, acct account) error {
	err := os.Mkdir(dir, 0o700)
	if err == nil {
		if err := os.Chmod(dir, 0o700); err != nil { // regardless of the umask
			return fmt.Errorf("restrict access to %s: %w", dir, err)
		}
		return acct.give(dir)
	}
	if !errors.Is(err, os.ErrExist) {
		return fmt.Errorf("create a folder for the socket: %w", err)
	}
	st, err := os.Lstat(dir)
	if err != nil {
		return fmt.Errorf("look at the socket folder: %w", err)
	}
	sys, ok := st.Sys().(*syscall.Stat_t)
	if !st.IsDir() || !ok || st.Mode().Perm()&0o077 != 0 {
		return fmt.Errorf("%s is not a folder that only you can use (its mode is %v), so the database's socket cannot go there: remove it and start Newel again", dir, st.Mode())
	}
	if acct.drop && sys.Uid == 0 { // created by a start that was interrupted at this point
		return acct.give(dir)
	}
	if sys.Uid != acct.uid {
		return fmt.Errorf("%s belongs to the account %s, not to %s, so the database's socket cannot go there: have it removed and start Newel again", dir, accountName(sys.Uid), acct.name)
	}
	return nil
}
