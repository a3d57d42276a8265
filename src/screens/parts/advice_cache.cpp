// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/advice_cache.h"

#include "base/text.h"

namespace nthtree::screens {
namespace {

constexpr int worklist_most = 40;  // more than a lead re-counts in a day
constexpr std::int64_t minute_ms = 60000;

const ledger::BlockSeason& block_or_empty(const ledger::Season& season, const std::string& id) {
  static const ledger::BlockSeason empty;
  const ledger::BlockSeason* found = season.block(id);
  return found ? *found : empty;
}

}  // namespace

void AdviceCache::forget() {
  advisor_.reset();
  forget_answers();
}

void AdviceCache::forget_answers() {
  const auto clear = [](auto&... kept) { (kept.clear(), ...); };
  clear(targets_, next_, crews_, drifts_, bias_, agreements_, worklists_, florals_, consequences_,
        briefs_, acceptances_, spreads_, days_, reviews_, second_, frosts_, bud_forecasts_,
        whens_, exercises_now_, exercises_, learnings_, years_, next_targets_, lines_,
        rows_, stretches_, going_back_, tomorrows_, plans_, eyes_, sizes_);
}

void AdviceCache::check(const Season& season, std::int64_t now_ms) {
  const std::int64_t minute = now_ms < 0 ? minute_ : now_ms / minute_ms;
  if (advisor_ && season_ == &season && revision_ == season.revision() && minute_ == minute) return;
  forget_answers();
  if (season_ != &season || !advisor_) advisor_ = std::make_unique<advice::Advisor>(season);
  season_ = &season;
  revision_ = season.revision();
  minute_ = minute;
}

template <typename T, typename Work>
const T& AdviceCache::keep(Kept<T>& kept, const std::string& key, Work&& work) {
  const auto found = kept.find(key);
  if (found != kept.end()) return found->second;
  return kept.emplace(key, work()).first->second;
}

const advice::BlockTarget* AdviceCache::target(const Season& season, const std::string& block) {
  check(season, -1);
  const auto& result =
      keep(targets_, block, [&] { return advice::block_target(season, block); });
  return result ? &result.value() : nullptr;
}

const advice::BlockStandings& AdviceCache::standings(const Season& season, const std::string& block,
                                                     std::int64_t now_ms) {
  check(season, now_ms);
  return advisor_->block_standings(block, now_ms);
}

const advice::Standing& AdviceCache::standing(const Season& season, const std::string& block,
                                              const std::string& person, std::int64_t now_ms) {
  check(season, now_ms);
  return advisor_->standing_of(block, person, now_ms);
}

const advice::Verdict& AdviceCache::verdict(const Season& season, const std::string& block,
                                            const std::string& person, std::int64_t now_ms) {
  check(season, now_ms);
  return advisor_->verdict_of(block, person, now_ms);
}

const advice::NextTree& AdviceCache::next(const Season& season, const std::string& block,
                                          const std::string& person, orchard::TreeAddress from,
                                          std::int64_t now_ms) {
  check(season, now_ms);
  const std::string key = block + "/" + person + "/" + std::to_string(from.row) + "-" +
                          std::to_string(from.tree);
  return keep(next_, key,
              [&] { return advisor_->next_tree(block, person, from, now_ms); });
}

const std::vector<advice::CrewRow>& AdviceCache::crew(const Season& season,
                                                      const std::string& block,
                                                      std::int64_t now_ms) {
  check(season, now_ms);
  return keep(crews_, block, [&] { return advisor_->crew_board(block, now_ms); });
}

const advice::Drift& AdviceCache::drift(const Season& season, const std::string& block,
                                        const std::string& person, std::int64_t now_ms) {
  check(season, now_ms);
  return keep(drifts_, block + "/" + person,
              [&] { return advisor_->drift_of(block, person, now_ms); });
}

const advice::CountingBias& AdviceCache::bias(const Season& season, std::int64_t now_ms) {
  check(season, now_ms);
  return keep(bias_, "", [&] { return advice::counting_bias(season, now_ms); });
}

const advice::CountAgreements& AdviceCache::agreements(const Season& season, std::int64_t now_ms) {
  check(season, now_ms);
  return keep(agreements_, "", [&] { return advice::count_agreements(season, now_ms); });
}

const std::vector<advice::Recount>& AdviceCache::worklist(const Season& season,
                                                          const std::string& block,
                                                          std::int64_t now_ms) {
  check(season, now_ms);
  return keep(worklists_, block, [&] {
    return advice::recount_worklist(season, block, now_ms, worklist_most);
  });
}

const advice::FloralFraction& AdviceCache::floral(const Season& season, const std::string& block) {
  check(season, -1);
  return keep(florals_, block,
              [&] { return advice::floral_fraction(block_or_empty(season, block)); });
}

const advice::Consequences& AdviceCache::consequences(const Season& season,
                                                      const std::string& block) {
  check(season, -1);
  return keep(consequences_, block, [&] { return advice::consequences(season, block); });
}

const advice::Brief& AdviceCache::brief(const Season& season, const std::string& block,
                                        std::int64_t now_ms) {
  check(season, now_ms);
  return keep(briefs_, block, [&] { return advice::crew_brief(season, block, now_ms); });
}

const advice::Acceptance& AdviceCache::acceptance(const Season& season, const std::string& block,
                                                  std::int64_t now_ms) {
  check(season, now_ms);
  return keep(acceptances_, block, [&] { return advice::accept_block(season, block, now_ms); });
}

const advice::TagSpread& AdviceCache::spread(const Season& season, const std::string& block,
                                             std::int64_t now_ms) {
  check(season, now_ms);
  return keep(spreads_, block, [&] { return advice::tag_spread(season, block, now_ms); });
}

const std::vector<std::int64_t>& AdviceCache::days(const Season& season, std::int64_t now_ms) {
  check(season, now_ms);
  return keep(days_, "", [&] { return advice::days_with_records(season, now_ms); });
}

const advice::DayReview& AdviceCache::review(const Season& season, std::int64_t day,
                                             std::int64_t now_ms) {
  check(season, now_ms);
  return keep(reviews_, std::to_string(day),
              [&] { return advice::day_review(season, day, now_ms); });
}

const advice::SecondPass& AdviceCache::second_pass(const Season& season, const std::string& block) {
  check(season, -1);
  return keep(second_, block,
              [&] { return advice::second_pass_and_winter(block_or_empty(season, block)); });
}

const advice::FrostAdvice& AdviceCache::frost(const Season& season, const std::string& block,
                                              std::int64_t now_ms) {
  check(season, now_ms);
  return keep(frosts_, block,
              [&] { return advice::frost_advice(block_or_empty(season, block), now_ms); });
}

const advice::BudForecast& AdviceCache::bud_forecast(const Season& season,
                                                     const std::string& block,
                                                     std::int64_t now_ms) {
  check(season, now_ms);
  return keep(bud_forecasts_, block, [&] { return advice::bud_forecast(season, block, now_ms); });
}

const advice::WhenToPrune& AdviceCache::when_to_prune(const Season& season,
                                                      const std::string& block,
                                                      const orchard::Variety& variety,
                                                      std::int64_t now_ms) {
  check(season, now_ms);
  return keep(whens_, block,
              [&] { return advice::when_to_prune(season, block, variety, now_ms); });
}

const advice::ExerciseProgress& AdviceCache::exercise_now(const Season& season,
                                                          const std::string& block) {
  check(season, -1);
  return keep(exercises_now_, block, [&] {
    const ledger::BlockSeason& found = block_or_empty(season, block);
    return advice::exercise_progress(found, advice::latest_exercise(found));
  });
}

const advice::Exercise& AdviceCache::exercise(const Season& season, const std::string& id) {
  check(season, -1);
  return keep(exercises_, id, [&] { return advice::exercise(season, id); });
}

const advice::MinutesPlan& AdviceCache::plan(const Season& season, const std::string& block,
                                             const advice::MinutesWish& wish,
                                             std::int64_t now_ms) {
  check(season, now_ms);
  const std::string key = block + base::print("/%.6f/%.6f", wish.pruner, wish.lead);
  return keep(plans_, key, [&] { return advice::plan_minutes(season, block, wish, now_ms); });
}

const advice::Eye& AdviceCache::eye(const Season& season, const std::string& block,
                                    const std::string& person, std::int64_t now_ms) {
  check(season, now_ms);
  return keep(eyes_, block + "/" + person,
              [&] { return advice::eye_of(season, block, person, now_ms); });
}

const advice::SizeOffer& AdviceCache::sizes(const Season& season, const std::string& block,
                                            std::int64_t now_ms) {
  check(season, now_ms);
  return keep(sizes_, block, [&] { return advice::size_offer(season, block, now_ms); });
}

const advice::Learning& AdviceCache::learning(const Season& season, const std::string& block) {
  check(season, -1);
  return keep(learnings_, block, [&] { return advice::learn(season, block); });
}

const advice::BlockYears& AdviceCache::years(const Season& season, const std::string& block,
                                             std::int64_t now_ms) {
  check(season, now_ms);
  return keep(years_, block, [&] { return advice::block_years(season, block, now_ms); });
}

const advice::NextTarget& AdviceCache::next_target(const Season& season,
                                                   const std::string& block) {
  check(season, -1);
  return keep(next_targets_, block, [&] { return advice::next_target(season, block); });
}

const advice::RowsPruned& AdviceCache::rows(const Season& season, const std::string& block,
                                            std::int64_t now_ms) {
  check(season, now_ms);
  return keep(rows_, block, [&] { return advice::rows_pruned(season, block, now_ms); });
}

const std::vector<advice::Stretch>& AdviceCache::stretches(const Season& season,
                                                           const std::string& block,
                                                           std::int64_t now_ms) {
  check(season, now_ms);
  return keep(stretches_, block, [&] { return advice::stretches_in(season, block, now_ms); });
}

const advice::GoingBack& AdviceCache::going_back(const Season& season, std::int64_t now_ms) {
  check(season, now_ms);
  return keep(going_back_, "", [&] { return advice::going_back(season, now_ms); });
}

const advice::Tomorrow& AdviceCache::tomorrow(
    const Season& season, const std::map<std::string, std::string>& block_of_gang,
    std::int64_t now_ms) {
  check(season, now_ms);
  std::string key;
  for (const auto& [gang, block] : block_of_gang) key += gang + "=" + block + "\n";
  return keep(tomorrows_, key, [&] {
    return block_of_gang.empty() ? advice::tomorrow(season, now_ms)
                                 : advice::what_if(season, now_ms, block_of_gang);
  });
}

advice::TreeAdvice AdviceCache::tree(const Season& season, const std::string& block,
                                     const orchard::TreeAddress& tree, int spurs,
                                     std::int64_t now_ms) {
  check(season, now_ms);
  return advisor_->this_tree(block, tree, spurs, now_ms);
}

const std::vector<CountLine>& AdviceCache::lines(const Season& season, const std::string& person,
                                                 std::int64_t day, Seasons of) {
  check(season, -1);
  const char* const which = of == Seasons::closed ? "/closed" : "";
  return keep(lines_, person + "/" + std::to_string(day) + which,
              [&] { return count_lines(season, person, day, of); });
}

}  // namespace nthtree::screens
