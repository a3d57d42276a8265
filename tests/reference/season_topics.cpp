// SPDX-License-Identifier: Apache-2.0
// Warmth, frost, and bearing every other year.
#include <string>

#include "orchard/bearing.h"
#include "orchard/degree_days.h"
#include "orchard/frost.h"
#include "reference/published_values.h"

namespace nthtree::reference {
namespace {

using namespace nthtree::orchard;

std::string day_name(const DayTemperatures& day) {
  return std::to_string(static_cast<int>(day.low)) + "-" +
         std::to_string(static_cast<int>(day.high));
}

void degree_day_table(PublishedValues& published) {
  const std::vector<double>& days = published.sample("days");
  const Thresholds thresholds{50, 70};
  for (std::size_t i = 0; i + 2 < days.size(); i += 3) {
    const DayTemperatures day{days[i], days[i + 1]};
    const std::string name = day_name(day);
    published.compare(name + ".sine", degree_days(day, thresholds, DayCurve::sine));
    published.compare(name + ".double_sine",
                      degree_days_double(day, days[i + 2], thresholds, DayCurve::sine));
    published.compare(name + ".triangle", degree_days(day, thresholds, DayCurve::triangle));
    published.compare(name + ".double_triangle",
                      degree_days_double(day, days[i + 2], thresholds, DayCurve::triangle));
  }
  for (const DayTemperatures day : {DayTemperatures{30, 50}, {35, 55}, {28, 48}, {45, 65}}) {
    const std::string name = "43." + day_name(day);
    published.compare(name + ".sine", degree_days(day, {apple_base_f}, DayCurve::sine));
    if (day.low == 45) continue;  // the table gives one value for both curves
    published.compare(name + ".triangle", degree_days(day, {apple_base_f}, DayCurve::triangle));
  }
}

double celsius(double fahrenheit) { return (fahrenheit - 32) / 1.8; }

// The temperature that kills this share, by halving: what a printed table gives.
double temperature_that_kills(const FrostStage& stage, double share) {
  double cold = -30, mild = 5;
  for (int step = 0; step < 60; ++step) {
    const double middle = (cold + mild) / 2;
    (share_killed(stage, middle) >= share ? cold : mild) = middle;
  }
  return cold;
}

const FrostStage& stage_called(const std::string& name) {
  for (const FrostStage& stage : frost_stages()) {
    if (stage.name == name) return stage;
  }
  return frost_stages().front();
}

void critical_temperatures(PublishedValues& published) {
  for (const FrostStage& stage : frost_stages()) {
    published.compare(std::string(stage.name) + ".10", temperature_that_kills(stage, 0.1));
    published.compare(std::string(stage.name) + ".90", temperature_that_kills(stage, 0.9));
  }
  const FrostStage& pink = stage_called("full_pink");
  published.compare("pink_28", share_killed(pink, celsius(28)));
  published.compare("pink_26.5", share_killed(pink, celsius(26.5)));
  published.compare("half_20", share_killed(stage_called("half_inch_green"), celsius(20)));
  const std::vector<double> nights = {share_killed(pink, celsius(27)),
                                      share_killed(pink, celsius(26.5))};
  published.compare("two_nights", share_alive(nights));
}

void biennial_bearing(PublishedValues& published) {
  for (const std::string name : {"a", "b", "c", "d"}) {
    const auto index = biennial_index(published.sample(name));
    if (!index) return published.problem(index.error().text());
    published.compare(name, index->mean);
    if (name != "b") published.compare(name + ".pooled", index->pooled);
  }
}

}  // namespace

std::vector<NamedTopic> season_topics() {
  return {{"degree_day_table.json", degree_day_table},
          {"critical_temperatures.json", critical_temperatures},
          {"biennial_bearing.json", biennial_bearing}};
}

}  // namespace nthtree::reference
