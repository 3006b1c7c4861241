package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/analytics/table"
)

// nameOf is what a file is called in messages; - is standard input.
func nameOf(file string) string {
	if file == "-" {
		return "standard input"
	}
	return file
}

// readFile decodes a file, or standard input for -.
func readFile[T any](file string, stdin io.Reader, decode func(io.Reader) (T, error)) (T, error) {
	if file == "-" {
		return decode(stdin)
	}
	f, err := os.Open(filepath.Clean(file))
	if err != nil {
		var none T
		return none, err
	}
	defer f.Close() // read only: nothing can be lost
	return decode(f)
}

// whyNotRead tells whoever gave a file what is wrong with it, line by line.
func whyNotRead(name string, err error) []string {
	var problems table.Problems
	switch {
	case errors.As(err, &problems):
		lines := make([]string, len(problems))
		for i, p := range problems {
			lines[i] = fmt.Sprintf("%s:%d: %s", name, p.Line, p)
		}
		return lines
	case errors.Is(err, fs.ErrNotExist):
		return []string{fmt.Sprintf("%s: there is no such file; check the name", name)}
	}
	return []string{fmt.Sprintf("%s: can't be read (%v); give a CSV file", name, err)}
}

// lastDate is the last date that has begun somewhere on earth.
func lastDate() quantity.Date {
	return quantity.DateOf(time.Now().UTC().Add(14 * time.Hour))
}
