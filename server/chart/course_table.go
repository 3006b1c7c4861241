package chart

// key explains the symbols that occur.
func (c Course) key() []KeyEntry {
	var same, other, sound bool
	for _, v := range c.Visits {
		same = same || v.Residual != nil && !v.OtherFitter
		other = other || v.Residual != nil && v.OtherFitter
		sound = sound || v.Sound != nil
	}
	var entries []KeyEntry
	for _, e := range []struct {
		shown bool
		entry KeyEntry
	}{
		{same, KeyEntry{"filled-circle", c.Words.SameFitter}},
		{other, KeyEntry{"open-circle", c.Words.OtherFitter}},
		{sound, KeyEntry{"open-diamond", c.Words.SoundLimb}},
	} {
		if e.shown {
			entries = append(entries, e.entry)
		}
	}
	return entries
}

// table writes the chart in figures, newest visit first. Columns without any
// value are left out; date, fitter and note always stand.
func (c Course) table() Table {
	changeOf := func(of func(Visit) *Change, say func(*Change) string) func(Visit) string {
		return func(v Visit) string {
			if change := of(v); change != nil {
				return say(change)
			}
			return ""
		}
	}
	words := func(change *Change) string { return change.Words }
	interval := func(change *Change) string { return change.IntervalWords }
	residual := func(v Visit) *Change { return v.Residual }
	columns := []struct {
		head string
		cell func(Visit) string
	}{
		{c.Words.Date, func(v Visit) string { return v.DateWords }},
		{c.Words.Change, changeOf(residual, words)},
		{c.Words.Interval, changeOf(residual, interval)},
		{c.Words.SoundChange, changeOf(func(v Visit) *Change { return v.Sound }, words)},
	}
	for _, m := range c.measures() {
		columns = append(columns, struct {
			head string
			cell func(Visit) string
		}{m.heading, func(v Visit) string {
			if f := m.of(v); f != nil {
				return f.Words
			}
			return ""
		}})
	}
	table := Table{Rows: make([][]string, len(c.Visits))}
	add := func(head string, cell func(Visit) string, always bool) {
		cells, used := make([]string, len(c.Visits)), always
		for i, v := range c.Visits {
			cells[len(c.Visits)-1-i] = cell(v)
			used = used || cell(v) != ""
		}
		if !used {
			return
		}
		table.Columns = append(table.Columns, head)
		for i := range table.Rows {
			table.Rows[i] = append(table.Rows[i], cells[i])
		}
	}
	for i, column := range columns {
		add(column.head, column.cell, i == 0)
	}
	add(c.Words.Fitter, func(v Visit) string { return v.FitterWords }, true)
	add(c.Words.Note, func(v Visit) string { return v.Note }, true)
	return table
}
