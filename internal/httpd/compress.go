package httpd

import (
	"net/http"

	"github.com/klauspost/compress/gzhttp"

	"newel/internal/program"
)

// compressible lists the content types worth compressing. Assets are compressed
// when they are built, pictures and zips by their formats, and stream events
// must not be buffered.
var compressible = []string{"text/html", "text/javascript", "application/json", "application/manifest+json", program.DayMediaType}

// jitter is the maximum number of bytes added to a compressed answer, so that
// its length does not show how well it was compressed (BREACH). The padding's
// length follows from the whole content, which differs with every form token.
// Averaging out a range of n bytes takes on the order of n² answers, which at
// ratePages is more than an hour for each guess. It costs 128 bytes a page.
const jitter = 256

// compress sends answers as gzip to browsers that accept it, except in answer
// to requests caused by another site: only another site's page can choose text
// shown next to a secret and request it again and again.
// docs/decisions/0018-compression.md has the reasons.
func compress(next http.Handler) http.Handler {
	wrap, err := gzhttp.NewWrapper(gzhttp.ContentTypes(compressible), gzhttp.EnableZstd(false), gzhttp.RandomJitter(jitter, 0, true))
	if err != nil {
		panic(err) // cannot happen: the options are constants
	}
	compressed := wrap(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.Header.Get("Sec-Fetch-Site") {
		case "", "none", "same-origin": // empty for old browsers and without TLS
			compressed.ServeHTTP(w, r)
		default:
			w.Header().Add("Vary", "Accept-Encoding")
			next.ServeHTTP(w, r)
		}
	})
}
