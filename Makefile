# make test is the whole gate: it installs what the tests need beyond Go
# (Debian's Chromium, PostgreSQL, poppler-utils and a C compiler for the race detector) where
# it is missing, and runs everything against real databases and a real browser.

export CGO_ENABLED ?= 0

# The packages that run things at the same time; make test runs their tests
# under the race detector only.
RACED := ./models ./server ./server/followup ./web
OTHERS = $(filter-out $(patsubst ./%,fairlead/%,$(RACED)),$(shell go list ./...))

.PHONY: build test check unit others race fuzz tools clean

build: ## the program, as bin/fairlead
	go build -trimpath -o bin/fairlead ./cmd/fairlead

test: tools check others race ## everything CI runs

check: ## formatting, vet, staticcheck
	@unformatted=$$(gofmt -l cmd server models analytics web); \
	if [ -n "$$unformatted" ]; then echo "gofmt these files:"; echo "$$unformatted"; exit 1; fi
	go vet ./...
	go tool staticcheck ./...

unit: ## all tests, the store's on SQLite and on a throw-away PostgreSQL
	.ci/with-postgres go test ./...

others: ## the tests of what needs no race detector
	go test $(OTHERS)

race: ## the packages that run things at the same time, under the race detector
	CGO_ENABLED=1 .ci/with-postgres go test -race $(RACED)

fuzz: ## each fuzz target for 30 seconds
	.ci/fuzz 30s

tools: ## install what the tests need where it is missing
	.ci/tools

clean:
	rm -rf bin
