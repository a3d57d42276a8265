// SPDX-License-Identifier: Apache-2.0
//
// What advice/ worked out for the screens, kept until the season or the minute changes. A cache
// and nothing else: a screen may be drawn thirty times while nothing it shows has changed. What
// follows every count, standings and verdicts, is kept in one place, advice::Advisor, which works
// out again only what was touched; here it is passed on.
//
// Invariant: an answer is the one advice/ would give now, but for the minute of the clock. Answers
// are kept whole and thrown away whole; references hold until the next call with a newer season.
//
//   const advice::Verdict& verdict = cache.verdict(season, "b1", "p3", now_ms);
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "advice/judged/acceptance.h"
#include "advice/known/agreement.h"
#include "advice/advisor.h"
#include "advice/known/block_target.h"
#include "advice/next/brief.h"
#include "advice/next/bud_forecast.h"
#include "advice/next/when_to_prune.h"
#include "advice/review/consequences.h"
#include "advice/known/counting_bias.h"
#include "advice/review/crew_board.h"
#include "advice/review/day_review.h"
#include "advice/judged/drift.h"
#include "advice/known/exercise.h"
#include "advice/known/exercise_progress.h"
#include "advice/known/eyes.h"
#include "advice/known/rows_pruned.h"
#include "advice/next/going_back.h"
#include "advice/next/tomorrow.h"
#include "advice/known/floral.h"
#include "advice/known/frost.h"
#include "advice/known/sizes.h"
#include "advice/review/learning.h"
#include "advice/review/years.h"
#include "advice/next/minutes_plan.h"
#include "advice/next/next_tree.h"
#include "advice/next/recount_worklist.h"
#include "advice/judged/standing.h"
#include "advice/known/tag_spread.h"
#include "advice/judged/verdict.h"
#include "ledger/season.h"
#include "screens/parts/entries.h"

namespace nthtree::screens {

class AdviceCache {
 public:
  using Season = ledger::Season;

  // Null where the block has no target (or is not known).
  const advice::BlockTarget* target(const Season& season, const std::string& block);
  const advice::BlockStandings& standings(const Season& season, const std::string& block,
                                          std::int64_t now_ms);
  // A person without a count gets the crew's standing.
  const advice::Standing& standing(const Season& season, const std::string& block,
                                   const std::string& person, std::int64_t now_ms);
  const advice::Verdict& verdict(const Season& season, const std::string& block,
                                 const std::string& person, std::int64_t now_ms);
  const advice::NextTree& next(const Season& season, const std::string& block,
                               const std::string& person, orchard::TreeAddress from,
                               std::int64_t now_ms);
  const std::vector<advice::CrewRow>& crew(const Season& season, const std::string& block,
                                           std::int64_t now_ms);
  const advice::Drift& drift(const Season& season, const std::string& block,
                             const std::string& person, std::int64_t now_ms);
  const advice::CountingBias& bias(const Season& season, std::int64_t now_ms);
  const advice::CountAgreements& agreements(const Season& season, std::int64_t now_ms);
  const std::vector<advice::Recount>& worklist(const Season& season, const std::string& block,
                                               std::int64_t now_ms);
  const advice::FloralFraction& floral(const Season& season, const std::string& block);
  const advice::Consequences& consequences(const Season& season, const std::string& block);
  const advice::Brief& brief(const Season& season, const std::string& block,
                             std::int64_t now_ms);
  const advice::Acceptance& acceptance(const Season& season, const std::string& block,
                                       std::int64_t now_ms);
  const advice::TagSpread& spread(const Season& season, const std::string& block,
                                  std::int64_t now_ms);
  // Days with anything to review, newest first.
  const std::vector<std::int64_t>& days(const Season& season, std::int64_t now_ms);
  const advice::DayReview& review(const Season& season, std::int64_t day, std::int64_t now_ms);
  const advice::SecondPass& second_pass(const Season& season, const std::string& block);
  const advice::FrostAdvice& frost(const Season& season, const std::string& block,
                                   std::int64_t now_ms);
  const advice::BudForecast& bud_forecast(const Season& season, const std::string& block,
                                          std::int64_t now_ms);
  const advice::WhenToPrune& when_to_prune(const Season& season, const std::string& block,
                                           const orchard::Variety& variety, std::int64_t now_ms);
  // The counting exercise begun last in that block; without trees where there is none.
  const advice::ExerciseProgress& exercise_now(const Season& season, const std::string& block);
  const advice::Exercise& exercise(const Season& season, const std::string& id);
  // What so many minutes a day are best spent on.
  const advice::MinutesPlan& plan(const Season& season, const std::string& block,
                                  const advice::MinutesWish& wish, std::int64_t now_ms);
  // What is known of a person's eye; whether a tree's size is asked for, and what it changes.
  const advice::Eye& eye(const Season& season, const std::string& block, const std::string& person,
                         std::int64_t now_ms);
  const advice::SizeOffer& sizes(const Season& season, const std::string& block,
                                 std::int64_t now_ms);
  const advice::Learning& learning(const Season& season, const std::string& block);
  const advice::BlockYears& years(const Season& season, const std::string& block,
                                  std::int64_t now_ms);
  const advice::NextTarget& next_target(const Season& season, const std::string& block);
  const advice::RowsPruned& rows(const Season& season, const std::string& block,
                                 std::int64_t now_ms);
  const std::vector<advice::Stretch>& stretches(const Season& season, const std::string& block,
                                                std::int64_t now_ms);
  const advice::GoingBack& going_back(const Season& season, std::int64_t now_ms);
  // As proposed where no gang is sent elsewhere: gangs by Gang::key(), each with its block.
  const advice::Tomorrow& tomorrow(const Season& season,
                                   const std::map<std::string, std::string>& block_of_gang,
                                   std::int64_t now_ms);
  advice::TreeAdvice tree(const Season& season, const std::string& block,
                          const orchard::TreeAddress& tree, int spurs, std::int64_t now_ms);
  // Newest first; `person` and `day` narrow it where given (entries.h).
  const std::vector<CountLine>& lines(const Season& season, const std::string& person,
                                      std::int64_t day, Seasons of = Seasons::at_hand);

  void forget();

 private:
  template <typename T>
  using Kept = std::map<std::string, T>;

  void forget_answers();
  // Throws the answers away where the season or the minute is another one.
  void check(const Season& season, std::int64_t now_ms);
  template <typename T, typename Work>
  const T& keep(Kept<T>& kept, const std::string& key, Work&& work);

  const Season* season_ = nullptr;
  // Keeps what a new record does not touch; made anew only for another season.
  std::unique_ptr<advice::Advisor> advisor_;
  std::uint64_t revision_ = 0;
  std::int64_t minute_ = -1;
  Kept<base::Result<advice::BlockTarget>> targets_;
  Kept<advice::NextTree> next_;
  Kept<std::vector<advice::CrewRow>> crews_;
  Kept<advice::Drift> drifts_;
  Kept<advice::CountingBias> bias_;
  Kept<advice::CountAgreements> agreements_;
  Kept<std::vector<advice::Recount>> worklists_;
  Kept<advice::FloralFraction> florals_;
  Kept<advice::Consequences> consequences_;
  Kept<advice::Brief> briefs_;
  Kept<advice::Acceptance> acceptances_;
  Kept<advice::TagSpread> spreads_;
  Kept<std::vector<std::int64_t>> days_;
  Kept<advice::DayReview> reviews_;
  Kept<advice::SecondPass> second_;
  Kept<advice::FrostAdvice> frosts_;
  Kept<advice::BudForecast> bud_forecasts_;
  Kept<advice::WhenToPrune> whens_;
  Kept<advice::ExerciseProgress> exercises_now_;
  Kept<advice::Exercise> exercises_;
  Kept<advice::MinutesPlan> plans_;
  Kept<advice::Eye> eyes_;
  Kept<advice::SizeOffer> sizes_;
  Kept<advice::Learning> learnings_;
  Kept<advice::BlockYears> years_;
  Kept<advice::NextTarget> next_targets_;
  Kept<std::vector<CountLine>> lines_;
  Kept<advice::RowsPruned> rows_;
  Kept<std::vector<advice::Stretch>> stretches_;
  Kept<advice::GoingBack> going_back_;
  Kept<advice::Tomorrow> tomorrows_;
};

}  // namespace nthtree::screens
