// SPDX-License-Identifier: Apache-2.0
// What the season makes of all records of a kind that stand: the weather, and the years that were
// closed.
#include <algorithm>

#include "base/clock.h"
#include "base/text.h"
#include "ledger/season.h"

namespace nthtree::ledger {
namespace {

void add_days(const Temperatures& run, std::map<std::int64_t, orchard::DayTemperatures>& days) {
  std::int64_t first_ms = 0;
  if (!base::parse_iso(run.first_day, first_ms)) return;
  std::int64_t day = first_ms / base::day_ms;
  for (std::size_t i = 0; i < run.low_tenths_c.size(); ++i) {
    days[day++] = {run.low_tenths_c[i] / 10.0, run.high_tenths_c[i] / 10.0};
  }
}

}  // namespace

void Season::made_of_all(std::size_t kind) {
  if (is_loading_) return;  // once, at its end
  if (kind == body_index<Temperatures>) read_weather();
  if (kind == body_index<SeasonClosed>) read_closings();
}

void Season::read_weather() {
  std::map<FoldPosition, const Temperatures*> in_order;
  for (const auto& [subject, all] : settings_) {
    if (subject.first != body_index<Temperatures>) continue;
    const auto& [position, said] = *all.rbegin();
    in_order.emplace(position, &std::get<Temperatures>(said.body));
  }
  stations_.clear();
  last_station_.clear();
  for (const auto& [position, run] : in_order) {
    Weather& weather = stations_[run->station];
    weather.station = last_station_ = run->station;
    add_days(*run, weather.days);
  }
}

const Weather& Season::weather_of_station(const std::string& name) const {
  static const Weather none;
  const auto found = stations_.find(name);
  return found == stations_.end() ? none : found->second;
}

const std::string& Season::station_of(const std::string& block_id) const {
  const BlockSeason* found = block(block_id);
  const bool names_one = found && found->block && !found->block->station.empty();
  return names_one ? found->block->station : last_station_;
}

void Season::read_closings() {
  std::vector<SeasonSpan> spans;
  for (const auto& [subject, all] : settings_) {
    if (subject.first != body_index<SeasonClosed>) continue;
    const auto& [position, said] = *all.begin();
    SeasonSpan span;
    span.year = std::get<SeasonClosed>(said.body).year;
    span.to_ms = position.stamp.at_ms;
    span.closed_by = said.author;
    span.closing = position;
    spans.push_back(span);
  }
  std::sort(spans.begin(), spans.end(),
            [](const SeasonSpan& a, const SeasonSpan& b) { return a.to_ms < b.to_ms; });
  spans.emplace_back();
  for (std::size_t i = 1; i < spans.size(); ++i) spans[i].from_ms = spans[i - 1].to_ms;
  const bool is_moved = spans.back().from_ms != spans_.back().from_ms;
  spans_ = std::move(spans);
  if (is_moved) mark_closed(spans_.back());
}

void Season::mark_closed(const SeasonSpan& open) {
  for (auto& [id, block] : blocks_) {
    each_list(block, [&](auto& entries) {
      for (auto& entry : entries) entry.closed = !open.holds(entry.at_ms());
    });
    block.changes.add({});
  }
}

Season Season::as_of_span(std::size_t span) const {
  const SeasonSpan& open = spans_.at(span);
  Season then;
  then.blocks_ = blocks_;
  then.spans_ = {open};
  then.stations_ = stations_;
  then.last_station_ = last_station_;
  for (const auto& [subject, all] : settings_) {
    const Said* last = nullptr;
    for (const auto& [position, said] : all) {
      // The next season's first settings are written together with the closing, after it.
      if (open.year == 0 || position < open.closing) last = &said;
    }
    if (!last) continue;
    std::visit(
        [&](const auto& settings) {
          if constexpr (is_settings<std::decay_t<decltype(settings)>>) then.keep(settings);
        },
        last->body);
  }
  then.mark_closed(open);
  return then;
}

}  // namespace nthtree::ledger
