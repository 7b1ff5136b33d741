//! A linear programme grown column by column: the revised simplex method with a dense inverse.
//!
//! Works in floating point and promises nothing about exactness: its prices are only ever a suggestion, which the
//! integer labels of `pricing` turn into a bound.
//!
//! # Source
//! Dantzig, *Linear Programming and Extensions* (1963), chapters 9 and 11. One step costs O(rows² + entries).

/// How a row is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sense {
    AtMost,
    AtLeast,
    Equal,
}

const TINY: f64 = 1e-9;
const REFRESH: usize = 120;
const LEAST_GAIN: f64 = 1e-7;
const SHORTLIST: usize = 60;
const MOST_SCANS: usize = 2_000;

/// Maximise cost × value subject to rows, values at least 0.
#[derive(Debug, Clone)]
pub(super) struct Simplex {
    rows: usize,
    right: Vec<f64>,
    costs: Vec<f64>,
    /// Where each column's entries begin.
    begins: Vec<usize>,
    entries: Vec<(u32, f64)>,
    basis: Vec<usize>,
    /// Of the basis, by row of the programme, then by place in the basis.
    inverse: Vec<f64>,
    duals: Vec<f64>,
    values: Vec<f64>,
    is_basic: Vec<bool>,
    /// Columns before this one are slacks and stand-ins.
    own: usize,
    /// What makes up for the want of others, by row: the slack, or the stand-in.
    fillers: Vec<usize>,
    steps: usize,
}

impl Simplex {
    /// A programme without columns: rows with right sides of at least 0, and what a stand-in costs in each.
    pub fn new(rows: &[(Sense, f64, f64)]) -> Self {
        let count = rows.len();
        let mut programme = Self {
            rows: count,
            // A little apart from each other, so that steps do not stand still.
            right: rows.iter().enumerate().map(|(row, &(_, right, _))| right + jitter(row)).collect(),
            costs: Vec::new(),
            begins: vec![0],
            entries: Vec::new(),
            basis: vec![0; count],
            inverse: vec![0.0; count * count],
            duals: Vec::new(),
            values: Vec::new(),
            is_basic: Vec::new(),
            own: 0,
            fillers: Vec::new(),
            steps: 0,
        };
        for (row, &(sense, _, penalty)) in rows.iter().enumerate() {
            let index = u32::try_from(row).unwrap_or(u32::MAX);
            if sense == Sense::AtLeast {
                programme.add(0.0, [(index, -1.0)]);
            }
            let cost = if sense == Sense::AtMost { 0.0 } else { -penalty };
            programme.basis[row] = programme.add(cost, [(index, 1.0)]);
            programme.inverse[row * count + row] = 1.0;
        }
        for &column in &programme.basis {
            programme.is_basic[column] = true;
        }
        programme.fillers = programme.basis.clone();
        programme.values = programme.right.clone();
        programme.own = programme.costs.len();
        programme
    }

    /// Adds a column and returns its place.
    pub fn add(&mut self, cost: f64, entries: impl IntoIterator<Item = (u32, f64)>) -> usize {
        self.entries.extend(entries);
        self.begins.push(self.entries.len());
        self.costs.push(cost);
        self.is_basic.push(false);
        self.costs.len() - 1
    }

    /// Place of the first added column.
    pub fn own(&self) -> usize {
        self.own
    }

    /// What fills a row that other columns leave empty.
    pub fn filler(&self, row: usize) -> usize {
        self.fillers[row]
    }

    /// Makes a column so dear that it is used only where nothing else will do.
    pub fn shun(&mut self, column: usize, penalty: f64) {
        self.costs[column] -= penalty;
    }

    /// Whether a stand-in is in use: the columns alone do not keep the rows.
    pub fn falls_short(&self) -> bool {
        self.in_use().iter().any(|&(column, _)| column < self.own && self.costs[column] < 0.0)
    }

    /// The price of each row.
    pub fn duals(&self) -> &[f64] {
        &self.duals
    }

    fn fresh_duals(&self) -> Vec<f64> {
        let costs: Vec<f64> = self.basis.iter().map(|&column| self.costs[column]).collect();
        let dual = |line: &[f64]| line.iter().zip(&costs).map(|(part, cost)| part * cost).sum();
        self.inverse.chunks(self.rows.max(1)).map(dual).collect()
    }

    /// The columns in use and their values.
    pub fn in_use(&self) -> Vec<(usize, f64)> {
        let used = self.basis.iter().zip(&self.values).map(|(&column, &value)| (column, value));
        used.filter(|&(_, value)| value > 1e-5).collect()
    }

    /// What the columns in use are worth.
    pub fn value(&self) -> f64 {
        self.basis.iter().zip(&self.values).map(|(&column, value)| self.costs[column] * value).sum()
    }

    /// Takes steps until no column improves.
    pub fn solve(&mut self) {
        self.duals = self.fresh_duals();
        for _ in 0..MOST_SCANS {
            let mut shortlist = self.scan();
            if shortlist.is_empty() {
                return;
            }
            while let Some(entering) = self.best_of(&mut shortlist) {
                let direction = self.direction(entering);
                let Some(leaving) = self.leaving(&direction) else { return };
                self.pivot(entering, leaving, &direction);
                self.steps += 1;
                if self.steps.is_multiple_of(REFRESH) {
                    self.refresh();
                }
            }
        }
    }

    fn column(&self, column: usize) -> &[(u32, f64)] {
        &self.entries[self.begins[column]..self.begins[column + 1]]
    }

    /// What a unit of a column brings at the present prices.
    fn gain(&self, column: usize) -> f64 {
        let priced: f64 = self.column(column).iter().map(|&(row, part)| self.duals[row as usize] * part).sum();
        self.costs[column] - priced
    }

    /// The columns that promise most.
    fn scan(&self) -> Vec<usize> {
        let outside = (0..self.costs.len()).filter(|&column| !self.is_basic[column]);
        let rated = outside.map(|column| (self.gain(column) / self.size(column), column));
        let mut promising: Vec<(f64, usize)> = rated.filter(|&(gain, _)| gain > LEAST_GAIN).collect();
        promising.sort_unstable_by(|one, two| two.0.total_cmp(&one.0).then(one.1.cmp(&two.1)));
        promising.truncate(SHORTLIST);
        promising.into_iter().map(|(_, column)| column).collect()
    }

    /// Takes the best column off a short list, and with it those that no longer promise anything.
    fn best_of(&self, shortlist: &mut Vec<usize>) -> Option<usize> {
        shortlist.retain(|&column| !self.is_basic[column] && self.gain(column) / self.size(column) > LEAST_GAIN);
        let rate = |column: &usize| self.gain(*column) / self.size(*column);
        shortlist.iter().copied().max_by(|one, two| rate(one).total_cmp(&rate(two)))
    }

    fn size(&self, column: usize) -> f64 {
        (self.column(column).len() as f64).sqrt()
    }

    fn direction(&self, column: usize) -> Vec<f64> {
        let mut direction = vec![0.0; self.rows];
        for &(at, part) in self.column(column) {
            let line = &self.inverse[at as usize * self.rows..(at as usize + 1) * self.rows];
            direction.iter_mut().zip(line).for_each(|(value, own)| *value += own * part);
        }
        direction
    }

    fn leaving(&self, direction: &[f64]) -> Option<usize> {
        let ratio = |row: usize| (self.values[row].max(0.0)) / direction[row];
        let falling = || (0..self.rows).filter(|&row| direction[row] > TINY);
        let least =
            falling().map(|row| (self.values[row].max(0.0) + 1e-9) / direction[row]).fold(f64::INFINITY, f64::min);
        // Among those that run out first, the safest to divide by.
        falling().filter(|&row| ratio(row) <= least).max_by(|&one, &two| direction[one].total_cmp(&direction[two]))
    }

    fn pivot(&mut self, entering: usize, leaving: usize, direction: &[f64]) {
        let by = direction[leaving];
        let step = self.values[leaving].max(0.0) / by;
        let gain = self.gain(entering);
        for (line, dual) in self.inverse.chunks_mut(self.rows).zip(&mut self.duals) {
            let times = line[leaving] / by;
            if times != 0.0 {
                line.iter_mut().zip(direction).for_each(|(part, own)| *part -= times * own);
                line[leaving] = times;
                *dual += gain * times;
            }
        }
        self.values.iter_mut().zip(direction).for_each(|(value, own)| *value -= step * own);
        self.values[leaving] = step;
        self.is_basic[self.basis[leaving]] = false;
        self.is_basic[entering] = true;
        self.basis[leaving] = entering;
    }

    /// Computes inverse and values afresh from the basis, by Gauss and Jordan.
    fn refresh(&mut self) {
        let rows = self.rows;
        let mut matrix = vec![0.0; rows * rows];
        for (at, &column) in self.basis.iter().enumerate() {
            for &(row, part) in self.column(column) {
                matrix[row as usize * rows + at] += part;
            }
        }
        let mut inverse = vec![0.0; rows * rows];
        (0..rows).for_each(|row| inverse[row * rows + row] = 1.0);
        for at in 0..rows {
            let size = |row: &usize| matrix[row * rows + at].abs();
            let Some(main) = (at..rows).max_by(|one, two| size(one).total_cmp(&size(two))) else { return };
            if size(&main) < 1e-11 {
                return;
            }
            if main != at {
                for across in 0..rows {
                    matrix.swap(main * rows + across, at * rows + across);
                    inverse.swap(main * rows + across, at * rows + across);
                }
            }
            let by = matrix[at * rows + at];
            matrix[at * rows..(at + 1) * rows].iter_mut().for_each(|part| *part /= by);
            inverse[at * rows..(at + 1) * rows].iter_mut().for_each(|part| *part /= by);
            let own_matrix = matrix[at * rows..(at + 1) * rows].to_vec();
            let own_inverse = inverse[at * rows..(at + 1) * rows].to_vec();
            for row in (0..rows).filter(|&row| row != at) {
                let times = matrix[row * rows + at];
                if times != 0.0 {
                    let parts = &mut matrix[row * rows + at..(row + 1) * rows];
                    parts.iter_mut().zip(&own_matrix[at..]).for_each(|(part, own)| *part -= times * own);
                    let parts = &mut inverse[row * rows..(row + 1) * rows];
                    parts.iter_mut().zip(&own_inverse).for_each(|(part, own)| *part -= times * own);
                }
            }
        }
        for row in 0..rows {
            let line = &inverse[row * rows..(row + 1) * rows];
            self.values[row] = line.iter().zip(&self.right).map(|(part, right)| part * right).sum();
            line.iter().enumerate().for_each(|(at, part)| self.inverse[at * rows + row] = *part);
        }
        self.duals = self.fresh_duals();
    }
}

fn jitter(row: usize) -> f64 {
    1e-7 * (1.0 + ((row * 7919) % 101) as f64 / 50.0)
}
