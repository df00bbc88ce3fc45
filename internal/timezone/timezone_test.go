package timezone

import (
	"testing"
	"time"
)

func TestLoad(t *testing.T) {
	t.Parallel()
	first, err := Load("Asia/Makassar")
	if err != nil {
		t.Fatal(err)
	}
	again, err := Load("Asia/Makassar")
	if err != nil || again != first {
		t.Errorf("the second time: got %p, %v, want the same zone %p", again, err, first)
	}
	// Asia/Makassar is UTC+08:00 all year (IANA time zone database, 2024a).
	if _, offset := time.Date(2026, 3, 9, 0, 0, 0, 0, first).Zone(); offset != 8*3600 {
		t.Errorf("offset %d s, want 28800", offset)
	}
	for _, name := range []string{"", "Local", "Lagos", "../etc/passwd", "Asia/makassar\x00"} {
		if z, err := Load(name); err == nil {
			t.Errorf("%q: got %v, want an error", name, z)
		}
		if _, kept := found.Load(name); kept {
			t.Errorf("%q is remembered", name)
		}
	}
}

func TestOrUTC(t *testing.T) {
	t.Parallel()
	if got := OrUTC("Africa/Lagos").String(); got != "Africa/Lagos" {
		t.Errorf("got %s, want Africa/Lagos", got)
	}
	if got := OrUTC("Lagos"); got != time.UTC {
		t.Errorf("got %s, want UTC", got)
	}
}

// A cached zone must not allocate: the caseload loads one per placement.
func TestCachedZoneDoesNotAllocate(t *testing.T) {
	if _, err := Load("Africa/Lagos"); err != nil {
		t.Fatal(err)
	}
	name := "Africa/Lagos"
	if n := testing.AllocsPerRun(100, func() { _, _ = Load(name) }); n > 1 {
		t.Errorf("%v allocations for a known zone, want at most the key's", n)
	}
}
