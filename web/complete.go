package web

import (
	"fmt"
	"html/template"
	"text/template/parse"
)

// mentions is what the templates of a set name by constants.
type mentions struct {
	templates, texts, assets []string
}

// complete proves that everything a set of templates names is there: other
// templates, texts and static files. html/template itself would notice only
// when the page is rendered. Names made at run time can't be seen here.
func complete(set *template.Template, catalogue *Catalogue, lang string) error {
	m := mentionsOf(set)
	for _, name := range m.templates {
		if t := set.Lookup(name); t == nil || t.Tree == nil {
			return fmt.Errorf("template %q is used but not defined", name)
		}
	}
	for _, id := range m.texts {
		if !catalogue.Has(lang, id) {
			return fmt.Errorf("%w: %q in %q", ErrNoText, id, lang)
		}
	}
	for _, name := range m.assets {
		if _, err := Asset(name); err != nil {
			return err
		}
	}
	return nil
}

func mentionsOf(set *template.Template) mentions {
	var m mentions
	for _, t := range set.Templates() {
		if t.Tree != nil {
			m.list(t.Tree.Root)
		}
	}
	return m
}

func (m *mentions) list(l *parse.ListNode) {
	if l == nil {
		return
	}
	for _, n := range l.Nodes {
		m.node(n)
	}
}

func (m *mentions) node(n parse.Node) {
	switch n := n.(type) {
	case *parse.ActionNode:
		m.pipe(n.Pipe)
	case *parse.IfNode:
		m.branch(n.BranchNode)
	case *parse.RangeNode:
		m.branch(n.BranchNode)
	case *parse.WithNode:
		m.branch(n.BranchNode)
	case *parse.TemplateNode:
		m.templates = append(m.templates, n.Name)
		m.pipe(n.Pipe)
	case *parse.PipeNode:
		m.pipe(n)
	}
}

func (m *mentions) branch(b parse.BranchNode) {
	m.pipe(b.Pipe)
	m.list(b.List)
	m.list(b.ElseList)
}

func (m *mentions) pipe(p *parse.PipeNode) {
	if p == nil {
		return
	}
	for _, c := range p.Cmds {
		if len(c.Args) >= 2 {
			m.call(c.Args[0], c.Args[1])
		}
		for _, a := range c.Args {
			m.node(a)
		}
	}
}

// call notes the first argument of t and asset where it is a constant.
func (m *mentions) call(function, argument parse.Node) {
	f, isName := function.(*parse.IdentifierNode)
	s, isText := argument.(*parse.StringNode)
	if !isName || !isText {
		return
	}
	switch f.Ident {
	case "t":
		m.texts = append(m.texts, s.Text)
	case "asset":
		m.assets = append(m.assets, s.Text)
	}
}
