// SPDX-License-Identifier: Apache-2.0
#include "stats/assignment.h"

#include <cmath>

namespace nthtree::stats {
namespace {

using Costs = std::vector<std::vector<double>>;

std::optional<Error> check(const Costs& costs) {
  if (costs.empty()) return too_few("costs", 0, 1);
  const std::size_t columns = costs.front().size();
  if (columns < costs.size() || columns > assignment_side_max) {
    return out_of_range("costs", static_cast<double>(columns),
                        "as many columns as rows or more, 500 at most");
  }
  for (std::size_t row = 0; row < costs.size(); ++row) {
    if (costs[row].size() != columns) {
      return out_of_range("costs", static_cast<double>(costs[row].size()), "rows of equal length");
    }
    for (const double cost : costs[row]) {
      if (!std::isfinite(cost)) return not_finite("costs", row);
    }
  }
  return std::nullopt;
}

// Rows and columns count from 1 in here; column 0 stands for "not yet anywhere".
class Matcher {
 public:
  explicit Matcher(const Costs& costs)
      : costs_(costs),
        columns_(costs.front().size()),
        row_price_(costs.size() + 1),
        column_price_(columns_ + 1),
        row_of_column_(columns_ + 1),
        before_(columns_ + 1) {}

  void place(std::size_t row) {
    const std::size_t free_column = cheapest_way(row);
    for (std::size_t at = free_column; at != 0; at = before_[at]) {
      row_of_column_[at] = row_of_column_[before_[at]];
    }
  }

  Assignment result() const {
    Assignment assignment;
    assignment.column_of_row.resize(costs_.size());
    for (std::size_t column = 1; column <= columns_; ++column) {
      const std::size_t row = row_of_column_[column];
      if (row == 0) continue;
      assignment.column_of_row[row - 1] = column - 1;
      assignment.cost += costs_[row - 1][column - 1];
    }
    return assignment;
  }

 private:
  // The cheapest chain of moves that ends in a column nobody has; before_ holds the way back.
  std::size_t cheapest_way(std::size_t row) {
    row_of_column_[0] = row;
    std::vector<double> distance(columns_ + 1, infinity);
    std::vector<bool> reached(columns_ + 1, false);
    std::size_t at = 0;
    do {
      reached[at] = true;
      const std::size_t next = look_from(at, distance, reached);
      move_prices(distance[next], distance, reached);
      at = next;
    } while (row_of_column_[at] != 0);
    return at;
  }

  // Shortens the distances by what can be had from column `at`; the nearest one not yet reached.
  std::size_t look_from(std::size_t at, std::vector<double>& distance,
                        const std::vector<bool>& reached) {
    const std::size_t row = row_of_column_[at];
    std::size_t nearest = 0;
    for (std::size_t column = 1; column <= columns_; ++column) {
      if (reached[column]) continue;
      const double reduced =
          costs_[row - 1][column - 1] - row_price_[row] - column_price_[column];
      if (reduced < distance[column]) {
        distance[column] = reduced;
        before_[column] = at;
      }
      if (nearest == 0 || distance[column] < distance[nearest]) nearest = column;
    }
    return nearest;
  }

  void move_prices(double by, std::vector<double>& distance, const std::vector<bool>& reached) {
    for (std::size_t column = 0; column <= columns_; ++column) {
      if (reached[column]) {
        row_price_[row_of_column_[column]] += by;
        column_price_[column] -= by;
      } else {
        distance[column] -= by;
      }
    }
  }

  const Costs& costs_;
  std::size_t columns_;
  std::vector<double> row_price_, column_price_;
  std::vector<std::size_t> row_of_column_, before_;
};

}  // namespace

Result<Assignment> least_cost_assignment(const Costs& costs) {
  if (auto error = check(costs)) return *error;
  Matcher matcher(costs);
  for (std::size_t row = 1; row <= costs.size(); ++row) matcher.place(row);
  return matcher.result();
}

}  // namespace nthtree::stats
