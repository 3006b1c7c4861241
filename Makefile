# make test is the whole gate: it installs what the tests need beyond Go
# (Debian's Chromium, PostgreSQL, poppler-utils and a C compiler for the race detector) where
# it is missing, and runs everything against real databases and a real browser.

export CGO_ENABLED ?= 0

# The packages that run things at the same time. Their tests of that are called
# …AtOnce; make test runs those once more under the race detector, and
# make race RACE_TESTS=. all of them, which takes its time.
RACED := ./models ./server ./server/followup
RACE_TESTS ?= AtOnce

.PHONY: build test check unit race fuzz tools clean

build: ## the program, as bin/fairlead
	go build -trimpath -o bin/fairlead ./cmd/fairlead

test: tools check unit race ## everything CI runs

check: ## formatting, vet, staticcheck
	@unformatted=$$(gofmt -l cmd server models analytics web); \
	if [ -n "$$unformatted" ]; then echo "gofmt these files:"; echo "$$unformatted"; exit 1; fi
	go vet ./...
	go tool staticcheck ./...

unit: ## all tests, the store's on SQLite and on a throw-away PostgreSQL
	.ci/with-postgres go test ./...

race: ## the tests of what runs at the same time, under the race detector
	CGO_ENABLED=1 .ci/with-postgres go test -race -run "$(RACE_TESTS)" $(RACED)

fuzz: ## each fuzz target for 30 seconds
	.ci/fuzz 30s

tools: ## install what the tests need where it is missing
	.ci/tools

clean:
	rm -rf bin
