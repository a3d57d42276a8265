// SPDX-License-Identifier: Apache-2.0
#include "advice/next/bud_forecast.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "advice/internal/current.h"
#include "base/clock.h"
#include "base/text.h"
#include "orchard/bud_stages.h"

namespace nthtree::advice {
namespace {

using orchard::DayCurve;
using Days = std::map<std::int64_t, orchard::DayTemperatures>;

constexpr int days_foreseen_max = 150;
constexpr int lately_days = 10;
constexpr int beside_a_gap_days = 7;
constexpr int year_holes_max = 20;       // of days_foreseen_max: else that spring is not used
constexpr std::int64_t date_fits_days = 200;  // an expected day longer ago is another season's

int year_of(std::int64_t day) { return std::atoi(base::iso_minute(day * base::day_ms).c_str()); }
int month_of(std::int64_t day) {
  return std::atoi(base::iso_minute(day * base::day_ms).c_str() + 5);
}
std::int64_t first_of(int year, int month) {
  std::int64_t at_ms = 0;
  (void)base::parse_iso(base::print("%04d-%02d-01", year, month), at_ms);
  return at_ms / base::day_ms;
}

std::int64_t counting_begins(const ledger::BlockSeason& block, std::int64_t today) {
  std::int64_t expected_ms = 0;
  if (block.block && base::parse_iso(block.block->green_tip_date, expected_ms)) {
    const std::int64_t expected = expected_ms / base::day_ms;
    if (expected > today - date_fits_days) {
      return first_of(year_of(expected), month_of(expected) > 6 ? 7 : 1);
    }
  }
  return first_of(year_of(today) + (month_of(today) > 6 ? 1 : 0), 1);
}

double warmth_of(const orchard::DayTemperatures& day, DayCurve curve) {
  return orchard::degree_days(in_fahrenheit(day), {orchard::apple_base_f}, curve);
}

// How the days to come are taken: from that many years back, or as lately, so many times as warm.
struct Spring {
  int years_back = 0;
  double times = 1;
};
enum class Missing { cold, warm };

// The day's warmth of a spring, from the first day counted on.
class Warmth {
 public:
  Warmth(const Days& days, std::int64_t start, std::int64_t last)
      : days_(days), start_(start), last_(last) {}

  double lately(DayCurve curve) const {
    double sum = 0;
    int n = 0;
    for (auto at = days_.upper_bound(last_); at != days_.begin() && n < lately_days; ++n) {
      --at;
      if (at->first < start_) break;
      sum += warmth_of(at->second, curve);
    }
    return n > 0 ? sum / n : 0;
  }
  std::vector<double> so_far(DayCurve curve) const {
    std::vector<double> sums;
    for (std::int64_t day = start_; day <= last_; ++day) {
      sums.push_back((sums.empty() ? 0 : sums.back()) + known(day, curve, Missing::cold));
    }
    return sums;
  }
  // The day on which the sum is reached; 0 where it is not within days_foreseen_max.
  std::int64_t reaches(double sum, DayCurve curve, Missing missing, const Spring& spring) const {
    const double each = lately(curve) * spring.times;
    for (std::int64_t day = start_; day <= last_ + days_foreseen_max; ++day) {
      sum -= day <= last_ ? known(day, curve, missing) : ahead(day, curve, spring, each);
      if (sum <= 0) return day;
    }
    return 0;
  }
  // Earlier springs that the station has, as years back.
  std::vector<int> earlier_years() const {
    std::vector<int> years;
    const int most = days_.empty() ? 0 : year_of(last_) - year_of(days_.begin()->first);
    for (int back = 1; back <= most; ++back) {
      int holes = 0;
      for (int i = 1; i <= days_foreseen_max; ++i) holes += !days_.contains(then(last_ + i, back));
      if (holes <= year_holes_max) years.push_back(back);
    }
    return years;
  }

 private:
  static std::int64_t then(std::int64_t day, int years_back) {
    return day - std::llround(365.2425 * years_back);
  }
  double known(std::int64_t day, DayCurve curve, Missing missing) const {
    const auto found = days_.find(day);
    if (found != days_.end()) return warmth_of(found->second, curve);
    if (missing == Missing::cold) return 0;
    double warmest = 0;
    for (auto at = days_.lower_bound(day - beside_a_gap_days);
         at != days_.end() && at->first <= day + beside_a_gap_days; ++at) {
      warmest = std::max(warmest, warmth_of(at->second, curve));
    }
    return warmest;
  }
  double ahead(std::int64_t day, DayCurve curve, const Spring& spring, double each) const {
    if (spring.years_back == 0) return each;
    auto found = days_.lower_bound(then(day, spring.years_back));
    return found == days_.end() ? each : warmth_of(found->second, curve);
  }

  const Days& days_;
  std::int64_t start_, last_;
};

std::vector<Spring> springs_of(const std::vector<int>& earlier_years) {
  if (earlier_years.empty()) return {{0, 0.5}, {0, 1}, {0, 2}};
  std::vector<Spring> springs;
  for (const int back : earlier_years) springs.push_back({back, 1});
  return springs;
}

std::int64_t middle_of(std::vector<std::int64_t> days) {
  if (days.empty() || *std::min_element(days.begin(), days.end()) == 0) return 0;
  std::sort(days.begin(), days.end());
  return days[days.size() / 2];
}

void foretell(const Warmth& warmth, bool has_gaps, const std::vector<Spring>& springs,
              StageAhead& ahead) {
  const double middle = (ahead.sum_low_f + ahead.sum_high_f) / 2;
  std::vector<std::int64_t> sine, triangle;
  bool is_late_known = true;
  for (const Spring& spring : springs) {
    for (const DayCurve curve : {DayCurve::sine, DayCurve::triangle}) {
      const std::int64_t early = warmth.reaches(ahead.sum_low_f, curve, Missing::warm, spring);
      const std::int64_t late = warmth.reaches(ahead.sum_high_f, curve, Missing::cold, spring);
      if (early > 0 && (ahead.early == 0 || early < ahead.early)) ahead.early = early;
      is_late_known = is_late_known && late > 0;
      ahead.late = std::max(ahead.late, late);
      (curve == DayCurve::sine ? sine : triangle)
          .push_back(warmth.reaches(middle, curve, Missing::cold, spring));
    }
  }
  if (ahead.early > 0) ahead.early -= orchard::stage_days_loose;
  ahead.late = is_late_known ? ahead.late + orchard::stage_days_loose : 0;
  if (has_gaps) return;
  ahead.likely = middle_of(sine);
  ahead.by_triangle = middle_of(triangle);
}

std::int64_t seen_day(const ledger::Season& season, const ledger::BlockSeason& block, int bbch,
                      std::int64_t start) {
  std::int64_t seen = 0;
  for (const auto& entry : ledger::current(block.growth_stages)) {
    const std::int64_t day = season.day_of(entry.at_ms());
    if (seen == 0 && entry.body.bbch >= bbch && day >= start) seen = day;
  }
  return seen;
}

}  // namespace

BudForecast bud_forecast(const ledger::Season& season, const std::string& block,
                         std::int64_t now_ms) {
  BudForecast forecast;
  const ledger::BlockSeason* found = season.block(block);
  if (!found) return forecast;
  const std::int64_t today = season.day_of(now_ms);
  const Days& days = season.weather_of(block).days;
  forecast.start = counting_begins(*found, today);
  forecast.own = own_green_tip(season, block, forecast.start);
  for (std::size_t i = 0; i < forecast.stages.size(); ++i) {
    const orchard::BudStage& stage = orchard::bud_stages()[i];
    forecast.stages[i].name = stage.name;
    forecast.stages[i].bbch = stage.bbch;
    forecast.stages[i].sum_low_f = stage.sum_low_f * forecast.own.ratio;
    forecast.stages[i].sum_high_f = stage.sum_high_f * forecast.own.ratio;
    forecast.stages[i].seen = seen_day(season, *found, stage.bbch, forecast.start);
  }
  if (days.lower_bound(forecast.start) == days.end()) {
    if (forecast.start > today) forecast.state = ForecastState::not_begun;
    return forecast;
  }
  forecast.last = days.rbegin()->first;
  forecast.days_ahead = static_cast<int>(std::max<std::int64_t>(0, forecast.last - today));
  forecast.gaps = orchard::gaps_in(days, forecast.start, forecast.last);
  const Warmth warmth(days, forecast.start, forecast.last);
  forecast.sums_sine = warmth.so_far(DayCurve::sine);
  forecast.sum_sine = forecast.sums_sine.back();
  forecast.sum_triangle = warmth.so_far(DayCurve::triangle).back();
  forecast.a_day_lately = warmth.lately(DayCurve::sine);
  forecast.earlier_years = warmth.earlier_years();
  const std::vector<Spring> springs = springs_of(forecast.earlier_years);
  for (StageAhead& ahead : forecast.stages) {
    foretell(warmth, !forecast.gaps.empty(), springs, ahead);
  }
  const bool nothing_to_tell = forecast.green_tip().early == 0;
  forecast.state = nothing_to_tell ? ForecastState::too_cold : ForecastState::known;
  return forecast;
}

}  // namespace nthtree::advice
