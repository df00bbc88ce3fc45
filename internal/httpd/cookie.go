package httpd

import (
	"net/http"
	"net/url"

	"github.com/alexedwards/scs/v2"
)

// The cookies of this site, named and protected by the rule below. The sign-in
// library sets the first one itself.
const (
	signInCookie      = "sign_in"
	hiddenHintsCookie = "hush"          // hints that this browser does not want to see again
	deviceCookie      = "device"        // the person who uses this phone now
	othersCookie      = "device_others" // people who can switch back to it, separated by dots
)

// overHTTPS reports whether browsers reach this site over https. The base
// address decides, not the connection, which is plain behind a proxy that ends
// TLS.
func overHTTPS(base *url.URL) bool { return base.Scheme == "https" }

// cookieName binds a cookie to exactly this host where browsers can enforce it,
// which is over https only (RFC 6265bis, section 4.1.3.2).
func cookieName(base *url.URL, name string) string {
	if overHTTPS(base) {
		return "__Host-newel_" + name
	}
	return "newel_" + name
}

// setCookie sets one of the site's own cookies for the given number of seconds;
// a negative number deletes it.
func (s *Server) setCookie(w http.ResponseWriter, name, value string, seconds int) {
	http.SetCookie(w, &http.Cookie{
		Name: cookieName(s.base, name), Value: value, Path: "/", MaxAge: seconds,
		HttpOnly: true, Secure: overHTTPS(s.base), SameSite: http.SameSiteLaxMode,
	})
}

// cookie returns the value of one of the site's own cookies, or "" if the
// browser sent none.
func (s *Server) cookie(r *http.Request, name string) string {
	c, err := r.Cookie(cookieName(s.base, name))
	if err != nil {
		return ""
	}
	return c.Value
}

// protectSignIns applies the same rule to the cookie of the sign-in library.
func protectSignIns(c *scs.SessionCookie, base *url.URL) {
	c.Name = cookieName(base, signInCookie)
	c.Path = "/"
	c.HttpOnly = true
	c.Secure = overHTTPS(base)
	c.SameSite = http.SameSiteLaxMode
	c.Persist = false // ends with the browser session at the latest
}
