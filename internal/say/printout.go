package say

import (
	"strings"

	"newel/internal/message"
)

// TwoWords returns the two words that identify a sheet.
func TwoWords(t *message.Printer, name [2]uint16) string {
	word := func(list string, n uint16) string {
		words := strings.Split(list, ", ")
		return words[int(n)%len(words)]
	}
	return word(t.Text("sheet.first_words"), name[0]) + " " + word(t.Text("sheet.second_words"), name[1])
}
