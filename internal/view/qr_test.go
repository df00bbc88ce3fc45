package view

import (
	"regexp"
	"strconv"
	"strings"
	"testing"
)

var qrRun = regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1h-(\d+)z`)

// modules reads the drawn code back into rows.
func modules(t *testing.T, q QR) [][]bool {
	t.Helper()
	rows := make([][]bool, q.Size)
	for i := range rows {
		rows[i] = make([]bool, q.Size)
	}
	for _, m := range qrRun.FindAllStringSubmatch(q.Dark, -1) {
		x, _ := strconv.Atoi(m[1])
		y, _ := strconv.Atoi(m[2])
		n, _ := strconv.Atoi(m[3])
		for i := range n {
			rows[y][x+i] = true
		}
	}
	return rows
}

// The border and the three finder patterns follow ISO/IEC 18004 (from memory):
// a dark square of 7 modules, a light ring, a dark square of 3.
func TestQRCodeHasItsFindersAndItsBorder(t *testing.T) {
	t.Parallel()
	q, err := NewQR("https://newel.example/join/"+strings.Repeat("x", 43), "the invitation")
	if err != nil {
		t.Fatal(err)
	}
	rows := modules(t, q)
	if (q.Size-2*quiet-17)%4 != 0 {
		t.Errorf("%d modules per side is not a size of a QR code", q.Size-2*quiet)
	}
	for i := range q.Size {
		for j := range quiet {
			if rows[i][j] || rows[j][i] || rows[i][q.Size-1-j] || rows[q.Size-1-j][i] {
				t.Fatalf("the border is not empty at %d, %d", i, j)
			}
		}
	}
	finder := []string{"#######", "#.....#", "#.###.#", "#.###.#", "#.###.#", "#.....#", "#######"}
	far := q.Size - quiet - 7
	for _, at := range [][2]int{{quiet, quiet}, {far, quiet}, {quiet, far}} {
		for dy, line := range finder {
			for dx, c := range line {
				if rows[at[1]+dy][at[0]+dx] != (c == '#') {
					t.Errorf("finder at %v differs at %d, %d", at, dx, dy)
				}
			}
		}
	}
}
