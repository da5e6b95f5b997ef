package sun

import "candleclock/engine/units"

// Date is a day of the Gregorian calendar: Year from 1, Month 1 to 12, Day 1 to 31.
// A day beyond the month's end runs on into the next.
type Date struct{ Year, Month, Day int }

// Unix is the instant, in Unix seconds, at which a clock that is offset hours
// ahead of UTC shows the hour of the date. The hour may lie beyond 0 to 24.
func (d Date) Unix(hour, offset units.Hours) float64 {
	return float64(d.number())*86400 + float64(hour-offset)*3600
}

// number is the count of days since 1 January 1970.
func (d Date) number() int {
	y, m := d.Year, d.Month-3 // the year begins in March, so that a leap day ends it
	if m < 0 {
		y, m = y-1, m+12
	}
	return 365*y + y/4 - y/100 + y/400 + (153*m+2)/5 + d.Day - 1 - 719468
}

// yearDay is the day of the year, 1 to 366.
func (d Date) yearDay() int { return d.number() - Date{d.Year, 1, 1}.number() + 1 }

// plus is the date n days on, in the calendar's own months.
func (d Date) plus(n int) Date {
	d.Day += n
	for d.Day > d.monthDays() {
		d.Day -= d.monthDays()
		if d.Month++; d.Month > 12 {
			d.Year, d.Month = d.Year+1, 1
		}
	}
	return d
}

func (d Date) monthDays() int {
	return Date{d.Year, d.Month + 1, 1}.number() - Date{d.Year, d.Month, 1}.number()
}

// meanDays are the days of the year whose extraterrestrial insolation is
// nearest the month's mean: Duffie & Beckman table 1.6.1, after Klein (1977).
var meanDays = [12]int{17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344}

// MeanDay is the day of the year, 1 to 365, that stands for a month, 1 to 12.
func MeanDay(month int) int { return meanDays[month-1] }
