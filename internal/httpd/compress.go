package httpd

import (
	"net/http"

	"github.com/klauspost/compress/gzhttp"

	"newel/internal/program"
)

// compressible lists what Newel writes that gets smaller. Assets are already
// compressed when they are built, pictures and zips by their formats, and the
// events of a stream must not wait for one another.
var compressible = []string{"text/html", "text/javascript", "application/json", "application/manifest+json", program.DayMediaType}

// jitter is the most bytes added to a compressed answer, so that its length
// does not show how well it was compressed (BREACH). The length of the padding
// follows from the whole content, which differs with every form token; to
// average out a range of n bytes takes in the order of n² answers, which at
// ratePages is more than an hour for each guess. It costs 128 bytes a page.
const jitter = 256

// compress sends answers as gzip to browsers that accept it. An answer to a
// request that another site caused stays as it is: only another site's page
// can choose text that is shown next to a secret and have it asked for again
// and again. docs/decisions/compression.md has the reasons.
func compress(next http.Handler) http.Handler {
	wrap, err := gzhttp.NewWrapper(gzhttp.ContentTypes(compressible), gzhttp.EnableZstd(false), gzhttp.RandomJitter(jitter, 0, true))
	if err != nil {
		panic(err) // the options are constants
	}
	compressed := wrap(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.Header.Get("Sec-Fetch-Site") {
		case "", "none", "same-origin": // empty: an old browser, or one without TLS
			compressed.ServeHTTP(w, r)
		default:
			w.Header().Add("Vary", "Accept-Encoding")
			next.ServeHTTP(w, r)
		}
	})
}
