package level

import (
	"pourplane/survey"
)

// kinds sets the purpose of the readings of a list. A benchmark or turning point is a
// backsight if it is read before the floor from a set-up that it can tie. It is a
// foresight if it is read last or before the instrument moves on. All others are
// intermediate sights.
func (l *levelling) kinds() {
	type sighting struct {
		id    int
		setup string
	}
	turn := map[string]int{} // order in which set-ups occur
	for i, name := range l.order {
		turn[name] = i
	}
	firstTurn, lastTurn := map[int]int{}, map[int]int{}
	last := map[sighting]int{}
	for i := range l.Sights {
		s := &l.Sights[i]
		if _, ok := firstTurn[s.Point]; !ok {
			firstTurn[s.Point] = turn[s.Setup]
		}
		lastTurn[s.Point] = max(lastTurn[s.Point], turn[s.Setup])
		last[sighting{s.Point, s.Setup}] = i
	}
	onFloor, tied := map[string]bool{}, map[string]bool{}
	read := map[int]bool{}
	here := map[sighting]bool{}
	for i := range l.Sights {
		s := &l.Sights[i]
		one := sighting{s.Point, s.Setup}
		before, again := read[s.Point], here[one]
		read[s.Point], here[one] = true, true
		if !s.Listed {
			continue
		}
		if !s.Mark || s.Name == "" {
			onFloor[s.Setup] = true
			continue
		}
		now := turn[s.Setup]
		_, known := l.benchmark[s.Point]
		switch {
		case !l.setup[s.Setup].Given && !onFloor[s.Setup] && !again && (known || firstTurn[s.Point] < now):
			s.Kind = survey.Back
			tied[s.Setup] = true
		case last[one] == i && (known && (before || tied[s.Setup] || l.setup[s.Setup].Given) || lastTurn[s.Point] > now):
			s.Kind = survey.Fore
		}
	}
	for i := range l.Sights { // the tie may follow the floor
		s := &l.Sights[i]
		_, known := l.benchmark[s.Point]
		if s.Listed && s.Mark && s.Name != "" && !tied[s.Setup] && !l.setup[s.Setup].Given && (known || firstTurn[s.Point] < turn[s.Setup]) {
			s.Kind = survey.Back
			tied[s.Setup] = true
		}
	}
}
