package chart

// tableRow is a reading with its visit; a visit without any has a row of its own. What
// is of the visit and not of a round stands in its last one.
type tableRow struct {
	visit   Visit
	reading Reading
	whole   bool
}

// rows lists them, newest first.
func (c Course) rows() []tableRow {
	var rows []tableRow
	for i := len(c.Visits) - 1; i >= 0; i-- {
		v := c.Visits[i]
		if len(v.Readings) == 0 {
			rows = append(rows, tableRow{v, Reading{}, true})
		}
		for k := len(v.Readings) - 1; k >= 0; k-- {
			rows = append(rows, tableRow{v, v.Readings[k], k == len(v.Readings)-1})
		}
	}
	return rows
}

// column is one of the table's, with what it says of a row.
type column struct {
	head   string
	cell   func(tableRow) string
	always bool // shown without any value, too
}

// table writes the chart in figures. Columns without any value are left out; date,
// fitter and note always stand.
func (c Course) table() Table {
	rows := c.rows()
	table := Table{Rows: make([][]string, len(rows))}
	for _, column := range c.columns() {
		cells, used := make([]string, len(rows)), column.always
		for i, row := range rows {
			cells[i] = column.cell(row)
			used = used || cells[i] != ""
		}
		if !used {
			continue
		}
		table.Columns = append(table.Columns, column.head)
		for i := range table.Rows {
			table.Rows[i] = append(table.Rows[i], cells[i])
		}
	}
	return table
}

func (c Course) columns() []column {
	reading := func(say func(ReadingCells) string) func(tableRow) string {
		return func(r tableRow) string { return say(r.reading.Cells) }
	}
	ofVisit := func(say func(Visit) string) func(tableRow) string {
		return func(r tableRow) string {
			if !r.whole {
				return ""
			}
			return say(r.visit)
		}
	}
	changeOf := func(of func(Visit) *Change, say func(*Change) string) func(tableRow) string {
		return ofVisit(func(v Visit) string {
			if change := of(v); change != nil {
				return say(change)
			}
			return ""
		})
	}
	words := func(change *Change) string { return change.Words }
	residual := func(v Visit) *Change { return v.Residual }
	columns := []column{
		{c.Words.Date, func(r tableRow) string { return r.visit.DateWords }, true},
		{c.Words.Round, reading(func(cells ReadingCells) string { return cells.Round }), false},
		{c.Words.MeasuredML, reading(func(cells ReadingCells) string { return cells.Volume }), false},
		{c.Words.U, reading(func(cells ReadingCells) string { return cells.U }), false},
		{c.Words.Smooth, reading(func(cells ReadingCells) string { return cells.Smooth }), false},
		{c.Words.Within, reading(func(cells ReadingCells) string { return cells.Within }), false},
		{c.Words.Slip, reading(func(cells ReadingCells) string { return cells.Slip }), false},
		{c.Words.Change, changeOf(residual, words), false},
		{c.Words.Interval, changeOf(residual, func(change *Change) string { return change.IntervalWords }), false},
		{c.Words.SoundChange, changeOf(func(v Visit) *Change { return v.Sound }, words), false},
	}
	for _, m := range c.measures() {
		columns = append(columns, column{m.heading, ofVisit(func(v Visit) string {
			if f := m.of(v); f != nil {
				return f.Words
			}
			return ""
		}), false})
	}
	return append(columns,
		column{c.Words.Fitter, func(r tableRow) string { return r.visit.FitterWords }, true},
		column{c.Words.Note, ofVisit(func(v Visit) string { return v.Note }), true})
}
