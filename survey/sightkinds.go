package survey

import ()

// kinds says what the readings of lists are for. A benchmark or turning point is a
// backsight where it is read before the floor from a set-up that it can tie, and a
// foresight where it is read last of all or before the instrument moves on; the rest
// are between.
func (l *levelling) kinds() {
	type sighting struct {
		id    int
		setup string
	}
	turn := map[string]int{} // when a set-up comes
	for i, name := range l.order {
		turn[name] = i
	}
	firstTurn, lastTurn := map[int]int{}, map[int]int{}
	last := map[sighting]int{}
	for i := range l.Sights {
		s := &l.Sights[i]
		if _, ok := firstTurn[s.id]; !ok {
			firstTurn[s.id] = turn[s.Setup]
		}
		lastTurn[s.id] = max(lastTurn[s.id], turn[s.Setup])
		last[sighting{s.id, s.Setup}] = i
	}
	onFloor, tied := map[string]bool{}, map[string]bool{}
	read := map[int]bool{}
	here := map[sighting]bool{}
	for i := range l.Sights {
		s := &l.Sights[i]
		one := sighting{s.id, s.Setup}
		before, again := read[s.id], here[one]
		read[s.id], here[one] = true, true
		if !s.plain {
			continue
		}
		if !s.check || s.Name == "" {
			onFloor[s.Setup] = true
			continue
		}
		now := turn[s.Setup]
		_, known := l.benchmark[s.id]
		switch {
		case !l.setup[s.Setup].given && !onFloor[s.Setup] && !again && (known || firstTurn[s.id] < now):
			s.Kind = Back
			tied[s.Setup] = true
		case last[one] == i && (known && (before || tied[s.Setup] || l.setup[s.Setup].given) || lastTurn[s.id] > now):
			s.Kind = Fore
		}
	}
	for i := range l.Sights { // the tie may come after the floor
		s := &l.Sights[i]
		_, known := l.benchmark[s.id]
		if s.plain && s.check && s.Name != "" && !tied[s.Setup] && !l.setup[s.Setup].given && (known || firstTurn[s.id] < turn[s.Setup]) {
			s.Kind = Back
			tied[s.Setup] = true
		}
	}
}
