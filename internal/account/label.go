package account

import "strings"

// Label shortens a user agent to something people recognize, such as "Chrome on
// Android". Anything unknown is just a browser.
func Label(userAgent string) string {
	name := first(userAgent, browsers)
	if name == "" {
		name = "Browser"
	}
	if system := first(userAgent, systems); system != "" {
		return name + " on " + system
	}
	return name
}

type mark struct{ in, name string }

// Order matters: later names also occur in the user agents of earlier ones.
var browsers = []mark{
	{"SamsungBrowser/", "Samsung Internet"},
	{"EdgA/", "Edge"},
	{"Edg/", "Edge"},
	{"OPR/", "Opera"},
	{"FxiOS/", "Firefox"},
	{"Firefox/", "Firefox"},
	{"CriOS/", "Chrome"},
	{"Chrome/", "Chrome"},
	{"Safari/", "Safari"},
}

var systems = []mark{
	{"Android", "Android"},
	{"iPhone", "iPhone"},
	{"iPad", "iPad"},
	{"CrOS", "ChromeOS"},
	{"Windows", "Windows"},
	{"Mac OS X", "Mac"},
	{"Linux", "Linux"},
}

func first(text string, marks []mark) string {
	for _, m := range marks {
		if strings.Contains(text, m.in) {
			return m.name
		}
	}
	return ""
}
