package newel

import (
	"strings"
	"testing"
)

func TestText(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		in, out  string
		limit    int
		required bool
		key      string
	}{
		"plain":             {limit: 40, in: "  Which cup? ", out: "Which cup?"},
		"right to left":     {limit: 40, in: "اطلب استراحة", out: "اطلب استراحة"},
		"emoji":             {limit: 40, in: "bravo 👏🏽", out: "bravo 👏🏽"},
		"markup stays text": {limit: 40, in: "<b>hi</b>", out: "<b>hi</b>"},
		"composed":          {limit: 40, in: "e\u0301", out: "é"},
		"windows lines":     {limit: 40, in: "a\r\nb", out: "a\nb"},
		"missing":           {limit: 40, in: "  ", required: true, key: "field.required"},
		"too long":          {limit: 10, in: strings.Repeat("é", 11), out: strings.Repeat("é", 11), key: "field.too_long"},
		"just fits":         {limit: 10, in: strings.Repeat("é", 10), out: strings.Repeat("é", 10)},
		"null byte":         {limit: 40, in: "a\x00b", out: "a\x00b", key: "field.control_characters"},
		"override":          {limit: 40, in: "a\u202Eb", out: "a\u202Eb", key: "field.control_characters"},
		"not text":          {limit: 40, in: "a\xffb", out: "ab", key: "field.not_text"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var inv Invalid
			got := inv.Text("f", tc.in, tc.limit, tc.required)
			if got != tc.out {
				t.Errorf("got %q, want %q", got, tc.out)
			}
			key := ""
			if len(inv.Problems) > 0 {
				key = inv.Problems[0].Key
			}
			if key != tc.key {
				t.Errorf("problem %q, want %q", key, tc.key)
			}
		})
	}
}

func TestTimeZone(t *testing.T) {
	t.Parallel()
	for zone, ok := range map[string]bool{"Asia/Kathmandu": true, "UTC": true, "": false, "Local": false, "Moon/Sea": false, "../etc": false} {
		var inv Invalid
		inv.TimeZone("z", zone)
		if (len(inv.Problems) == 0) != ok {
			t.Errorf("zone %q: problems %v", zone, inv.Problems)
		}
	}
}
