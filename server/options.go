package server

import "github.com/gin-gonic/gin"

// Option is one choice of a list: what is sent and what is shown.
type Option struct {
	Value, Label string
	Chosen       bool // of lists in which several can be chosen
}

// options puts the words of a vocabulary into the catalogue's language; the
// text of word w has the id vocabulary.w.
func (s *server) options(c *gin.Context, vocabulary string, words []string) []Option {
	out := make([]Option, len(words))
	for i, w := range words {
		out[i] = Option{Value: w, Label: s.text(c, vocabulary+"."+w)}
	}
	return out
}
