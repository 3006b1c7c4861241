package server

import (
	"cmp"
	"mime"
	"net/http"
	"path"
	"strings"
	"unicode"

	"fairlead/models"
	"github.com/gin-gonic/gin"
)

// extensions are those of the documents that are kept.
var extensions = map[string]string{"application/pdf": ".pdf", "image/jpeg": ".jpg", "image/png": ".png"}

// showDocument sends the document of an answer as it came, to be saved and not to
// be opened among our pages.
func (s *server) showDocument(c *gin.Context) error {
	client, err := s.reach(c)
	if err != nil {
		return err
	}
	answer, err := s.store.AnswerByID(c.Request.Context(), c.Param("answer"))
	if err == nil && (answer.ClientID != client.ID || answer.DocumentSHA256 == nil) {
		err = errNotFound
	}
	if err != nil {
		return err
	}
	d, err := s.store.DocumentByHash(c.Request.Context(), *answer.DocumentSHA256)
	if err != nil {
		return err
	}
	c.Header("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": savedName(answer, d)}))
	c.Header("Content-Security-Policy", "default-src 'none'; sandbox")
	c.Header("X-Content-Type-Options", "nosniff")
	c.Header("Cache-Control", "no-store")
	c.Data(http.StatusOK, d.MediaType, d.Content)
	return nil
}

// savedName is the name under which a document is saved: what it was called, with
// letters, figures and a few signs only, and the ending of what it is, so that
// nothing opens it as anything else.
func savedName(a models.Answer, d models.Document) string {
	stem := strings.TrimSuffix(a.DocumentName, path.Ext(a.DocumentName))
	stem = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsLetter(r), unicode.IsDigit(r), r == '-', r == '_', r == ' ':
			return r
		}
		return '-'
	}, stem)
	return cmp.Or(strings.Trim(stem, "- "), "answer-"+string(a.AnsweredOn)) + extensions[d.MediaType]
}
