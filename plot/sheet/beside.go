package sheet

import (
	"fmt"

	"gonum.org/v1/plot/vg"

	"pourplane/plot"
	"pourplane/plot/table"
)

// beside sets a picture right of a narrow table, in what would be white paper. It reports false, and
// sets nothing, where the table leaves it less than 0.4 of the width or is long.
func (f *flow) beside(t table.Table, q Picture) bool {
	const (
		gap   = 14
		apart = 16
		under = 6
		most  = 0.4  // of a page, the table; own choice
		least = 0.28 // of a page, the picture with its caption; own choice
		small = 0.2  // of a page: in less a plan cannot be read; own choice
	)
	t = t.Headed()
	all := fit(t, f.width())
	room := f.width() - all[0].width() - apart
	if len(all) > 1 || len(t.Rows) == 0 || room < 0.4*f.width() {
		return false
	}
	g := &all[0]
	g.tight = f.tight
	head := g.head()
	var rows []piece
	high := head.height
	for _, row := range g.Rows {
		for _, p := range g.row(row, f.body()) {
			rows = append(rows, p)
			high += p.size
		}
	}
	caption := captionType.Wrap(q.Caption, room)
	beneath := under + vg.Length(len(caption))*lead(captionType)
	both := max(high, least*f.body())
	if f.snug {
		both = high
	}
	drawn := both >= small*f.body()
	if !drawn {
		caption, beneath, both = captionType.Wrap(q.Instead, room), 0, 0
	}
	tall := min(suits(q.Drawing, room), both-beneath)
	if high > most*f.body() {
		return false
	}
	wide := room
	if drawn {
		wide = narrowed(q.Drawing, room, tall)
		tall = min(tall, suits(q.Drawing, wide))
	}
	f.tableTitle(t.Title)
	f.add(block{gap: gap, height: max(high, tall+beneath), keep: len(t.Notes) > 0, draw: func(d *plot.PDF, p vg.Point) error {
		at := p
		if err := head.draw(d, at); err != nil {
			return err
		}
		at.Y -= head.height
		for _, r := range rows {
			g.drawRow(d, at, r)
			at.Y -= r.size
		}
		left := p.X + f.width() - room
		r := vg.Rectangle{Min: vg.Point{X: left + (room-wide)/2, Y: p.Y - tall}, Max: vg.Point{X: left + (room+wide)/2, Y: p.Y}}
		if drawn {
			if err := d.Place(q.Drawing, r); err != nil {
				return fmt.Errorf("picture %q: %w", q.Caption, err)
			}
		}
		at = vg.Point{Y: r.Min.Y - under}
		for _, l := range caption {
			at.X = left + (room-captionType.Width(l))/2
			d.Text(captionType, baseLine(captionType, at), l)
			at.Y -= lead(captionType)
		}
		return nil
	}})
	f.notes(t.Notes)
	return true
}
