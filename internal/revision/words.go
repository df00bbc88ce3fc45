package revision

import (
	"strings"
	"unicode"
)

// Piece is a run of words that stayed, was removed or was added.
type Piece struct {
	Kind PieceKind
	Text string
}

// PieceKind is what happened to a piece.
type PieceKind int

// The kinds.
const (
	Stayed PieceKind = iota
	Went
	Came
)

// maxWordPairs bounds the work for two long texts (4000 characters are about
// 1400 words and gaps). Beyond it, the whole old text is removed and the whole
// new one added.
const maxWordPairs = 4_000_000

// Words compares two texts word by word, based on a longest common subsequence.
func Words(before, after string) []Piece {
	a, b := split(before), split(after)
	var out pieces
	head := 0
	for head < len(a) && head < len(b) && a[head] == b[head] {
		out.add(Stayed, a[head])
		head++
	}
	a, b = a[head:], b[head:]
	if len(a)*len(b) > maxWordPairs {
		out.add(Went, strings.Join(a, ""))
		out.add(Came, strings.Join(b, ""))
		return out
	}
	common := lengths(a, b)
	for i, j := 0, 0; i < len(a) || j < len(b); {
		switch {
		case i < len(a) && j < len(b) && a[i] == b[j]:
			out.add(Stayed, a[i])
			i, j = i+1, j+1
		case j == len(b) || i < len(a) && common[i+1][j] >= common[i][j+1]:
			out.add(Went, a[i])
			i++
		default:
			out.add(Came, b[j])
			j++
		}
	}
	return out
}

type pieces []Piece

func (p *pieces) add(kind PieceKind, text string) {
	if text == "" {
		return
	}
	if n := len(*p); n > 0 && (*p)[n-1].Kind == kind {
		(*p)[n-1].Text += text
		return
	}
	*p = append(*p, Piece{kind, text})
}

// lengths returns the lengths of the longest common subsequences of the tails
// a[i:] and b[j:], by dynamic programming (Wagner and Fischer 1974; from
// memory).
func lengths[T comparable](a, b []T) [][]int32 {
	table := make([][]int32, len(a)+1)
	cells := make([]int32, (len(a)+1)*(len(b)+1))
	for i := range table {
		table[i] = cells[i*(len(b)+1) : (i+1)*(len(b)+1)]
	}
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if a[i] == b[j] {
				table[i][j] = table[i+1][j+1] + 1
			} else {
				table[i][j] = max(table[i+1][j], table[i][j+1])
			}
		}
	}
	return table
}

// split splits a text into words, gaps and single other characters, which
// joined give the text.
func split(text string) []string {
	var out []string
	kind := func(r rune) int {
		switch {
		case unicode.IsSpace(r):
			return 1
		case unicode.IsLetter(r), unicode.IsDigit(r), unicode.IsMark(r):
			return 2
		}
		return 0
	}
	last := 0
	for i, r := range text {
		k := kind(r)
		if i == 0 || k == 0 || k != last {
			out = append(out, "")
		}
		out[len(out)-1] += text[i : i+runeLength(text[i:])]
		last = k
	}
	return out
}

// runeLength is 1 for an invalid byte, so that nothing is lost.
func runeLength(text string) int {
	for i := range text {
		if i > 0 {
			return i
		}
	}
	return len(text)
}
