# Newel. `make` without a target lists the targets.
.DEFAULT_GOAL := help
SHELL := /bin/sh
GO ?= go
NPM ?= npm
export CGO_ENABLED ?= 0

NODE_STAMP := web/node_modules/.installed
ASSETS     := web/dist/manifest.json
TYPES      := web/node_modules/.types-checked
TYPED      := $(shell find web/src web/e2e -name '*.ts' 2>/dev/null) web/tsconfig.json web/e2e/tsconfig.json
ASSET_SRC  := $(shell find web/src -type f 2>/dev/null) web/tsconfig.json $(wildcard cmd/assets/*.go)

.PHONY: help
help: ## list the targets
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/^([a-z-]+):.*## (.*)/  \1\t\2/' | expand -t 16

.PHONY: run
run: build postgres ## build and start an invented clinic; prints sign-in links
	@exec bin/newel run --demo

.PHONY: build
build: $(ASSETS) ## build bin/newel with its assets
	$(GO) build -ldflags '-s -w' -o bin/newel ./cmd/newel

.PHONY: test
test: build test-go test-browser ## run all tests: Go, then browser

.PHONY: test-go
test-go: postgres ## run the Go tests, which start their own Postgres
	GOGC=400 $(GO) test ./... # tests are short: memory costs less than collecting it

.PHONY: test-browser
test-browser: build postgres chromium $(TYPES) ## run the type check and the browser tests
	cd web/e2e && npx --no-install playwright test

# The packages that run goroutines of their own or that several callers use at
# once. Of app and httpd, only the tests that make concurrent calls: their other
# tests have nothing to race, and the detector makes them many times slower.
RACY := ./cmd/newel ./internal/account ./internal/live ./internal/worker ./internal/embeddedpg ./internal/postgres
RACY_APP := Concurrent|ManyDeliveries|FirstKeys
RACY_HTTPD := OpenPages|Listening|Stream|Watch|TooManyPages|ReviewTogether|F16TwoTabs|SetupLink

.PHONY: test-race
test-race: postgres ## the race detector over what runs goroutines; needs a C compiler
	CGO_ENABLED=1 $(GO) test -race $(RACY)
	CGO_ENABLED=1 $(GO) test -race -run '$(RACY_APP)' ./internal/app
	CGO_ENABLED=1 $(GO) test -race -run '$(RACY_HTTPD)' ./internal/httpd

.PHONY: check-html
check-html: build postgres chromium ## the W3C's Nu checker over every page of the invented clinic; needs Java
	@command -v java >/dev/null || { echo "java is missing: install Java 11 or newer (Debian, Ubuntu: apt-get install default-jre-headless)" >&2; exit 1; }
	$(NPM) ci --prefix web/e2e/nu --ignore-scripts --no-audit --no-fund
	cd web/e2e && npx --no-install playwright test --config nu/nu.config.ts

.PHONY: soak
soak: build postgres chromium ## kill the phone's browser and cut its connection at random, and compare what it confirmed with the server (SOAK_FAULTS=500, SOAK_SEED)
	cd web/e2e && npx --no-install playwright test --config soak/soak.config.ts

.PHONY: soak-store
soak-store: chromium ## kill a browser while a bare page writes, and count what its databases and cache still have (SOAK_KILLS=1000)
	cd web/e2e && npx --no-install playwright test --config soak/store.config.ts

.PHONY: test-firefox
test-firefox: build postgres ## run the phone's and the editor's tests in Firefox, if it is installed (FIREFOX, else /usr/bin/firefox-esr)
	cd web/e2e && npx --no-install playwright test --config firefox.config.ts

.PHONY: bench-phone
bench-phone: build postgres chromium ## time a tap and an offline start, medians of five (run nothing else at the same time)
	cd web/e2e && npx --no-install playwright test --config soak/bench.config.ts

.PHONY: bench
bench: postgres ## run the benchmarks with allocations
	$(GO) test -run '^$$' -bench . -benchmem ./...

.PHONY: simulate
simulate: ## run the rules against invented learners and write the tables of docs/simulation.md (minutes; TABLE=luck writes one)
	$(GO) test ./internal/criterion -run 'TestSimulatedTables/^$(TABLE)' -simulate -count 1 -timeout 2h

.PHONY: crosscheck
crosscheck: build ## compare computations with SciPy and scikit-learn on thousands of random inputs, and write docs/crosscheck.md
	internal/verification/crosscheck.sh bin/newel docs/crosscheck.md

.PHONY: mutate
mutate: ## run the tests of the rooms that compute against mutants of their code, and print which ones they miss (minutes per room; ROOM=measure runs one)
	internal/verification/mutate.sh $(ROOM)

.PHONY: generate
generate: postgres ## regenerate all generated files: pages, schema and settings documents, types shared with the browser
	$(GO) tool templ generate -path .
	$(GO) test $$(grep -rl --include='*_test.go' --exclude-dir=node_modules 'flag.Bool("update"' . | xargs -n1 dirname | sort -u) -run 'Drift|Golden' -update

.PHONY: lint
lint: $(TYPES) ## check formatting, vet, static analysis and generated pages
	@unformatted=$$($(GO) tool gofumpt -l cmd internal migrations web/*.go); \
	 if [ -n "$$unformatted" ]; then echo "not formatted (go tool gofumpt -w):"; echo "$$unformatted"; exit 1; fi
	$(GO) vet ./...
	$(GO) tool staticcheck ./...
	$(GO) tool templ generate -path . >/dev/null 2>&1 && git diff --exit-code -- '*_templ.go'
	$(GO) mod tidy -diff

.PHONY: postgres chromium
postgres: ## find PostgreSQL's programs, or install them, or say what to install
	@test -x bin/newel || $(GO) build -ldflags '-s -w' -o bin/newel ./cmd/newel # any build can search for them
	@deploy/ensure-postgres.sh bin/newel >/dev/null

chromium: ## find Chromium for the browser tests, or install it, or say what to install
	@deploy/ensure-chromium.sh

$(NODE_STAMP): web/package.json web/package-lock.json
	@command -v $(NPM) >/dev/null || { echo "npm is missing: install Node.js 20 or newer (Debian, Ubuntu: apt-get install nodejs npm; macOS: brew install node)" >&2; exit 1; }
	$(NPM) ci --prefix web --ignore-scripts --no-audit --no-fund
	@touch $@

$(TYPES): $(NODE_STAMP) $(TYPED)
	cd web && npx --no-install tsc --noEmit -p . && npx --no-install tsc --noEmit -p e2e
	@touch $@

$(ASSETS): $(NODE_STAMP) $(ASSET_SRC)
	$(GO) run ./cmd/assets

.PHONY: clean
clean: ## delete what was built, never the data
	rm -rf bin web/node_modules
	find web/dist -mindepth 1 ! -name .keep -delete
