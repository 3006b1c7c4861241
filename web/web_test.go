package web

import (
	"testing"
)

func TestRendererIsComplete(t *testing.T) {
	if _, err := NewRenderer(); err != nil {
		t.Fatal(err)
	}
}
