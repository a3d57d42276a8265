// SPDX-License-Identifier: Apache-2.0
//
// Finding entries of a block: the last tag of a person, the tag of a tree, an entry by record id.
//
// Private to this folder. Pointers are into the season and hold until its next change; null where
// there is nothing. Withdrawn entries are never found, except by id.
#pragma once

#include <set>
#include <string>
#include <vector>

#include "ledger/current.h"
#include "ledger/season.h"

namespace nthtree::screens {

using TagEntry = ledger::Entry<ledger::TagCount>;
using PartEntry = ledger::Entry<ledger::PartCount>;
using CheckEntry = ledger::Entry<ledger::CheckCount>;
using RowEntry = ledger::Entry<ledger::RowDone>;

const TagEntry* last_tag(const ledger::BlockSeason& block, const std::string& person);
// The tree that this person counted last, whole or in part; row 0 where there is none.
orchard::TreeAddress last_tree(const ledger::BlockSeason& block, const std::string& person);
// The latest tag of that tree; of that person where one is given.
const TagEntry* tag_of(const ledger::BlockSeason& block, orchard::TreeAddress tree,
                       const std::string& person = {});
// The latest count of some of its limbs; of that person where one is given.
const PartEntry* part_of(const ledger::BlockSeason& block, orchard::TreeAddress tree,
                         const std::string& person = {});
// Whether that person said of that tree what they see.
bool is_scored(const ledger::BlockSeason& block, orchard::TreeAddress tree,
               const std::string& person);
const CheckEntry* check_of(const ledger::BlockSeason& block, orchard::TreeAddress tree);
const ledger::Entry<ledger::Advice>* last_advice(const ledger::BlockSeason& block,
                                                 const std::string& person);

// Whether anything of a list stands in the season at hand.
template <typename T>
bool has_current(const ledger::Entries<T>& entries) {
  const auto range = ledger::current(entries);
  return range.begin() != range.end();
}

// What came last of what stands; null where nothing does. The list must outlive it.
template <typename T>
const ledger::Entry<T>* newest_current(const ledger::Entries<T>& entries) {
  const auto range = ledger::current_newest_first(entries);
  return range.begin() != range.end() ? &*range.begin() : nullptr;
}

// The first tree counted this winter, whole or in part, that has no count of these kinds yet, to go
// the same round again.
template <typename... T>
orchard::TreeAddress next_tagged(const ledger::BlockSeason& block,
                                 const ledger::Entries<T>&... done) {
  std::set<orchard::TreeAddress> seen;
  const auto note = [&](const auto& entries) {
    for (const auto& entry : ledger::current(entries)) seen.insert(entry.body.tree);
  };
  (note(done), ...);
  for (const auto& tag : ledger::current(block.tag_counts)) {
    if (!seen.count(tag.body.tree)) return tag.body.tree;
  }
  for (const auto& part : ledger::current(block.part_counts)) {
    if (!seen.count(part.body.tree)) return part.body.tree;
  }
  return {1, 1};
}

// The same for return bloom: of the season that was closed last, where one was.
orchard::TreeAddress next_of_last_season(const ledger::Season& season,
                                         const ledger::BlockSeason& block);

// One count of any kind, in a form that lists can show.
struct CountLine {
  ledger::RecordId id;
  std::string block;
  std::string author;
  orchard::TreeAddress tree;
  std::int64_t at_ms = 0;
  int number = 0;
  const char* kind_key = "";  // language key of the kind
  bool corrected = false;
  bool withdrawn = false;
};
// Of the season at hand, or of those that were closed.
enum class Seasons { at_hand, closed };
// Newest first. `person` and `day` narrow it where given (day: 0 for all); a day is shown whole,
// whether or not its season was closed since.
std::vector<CountLine> count_lines(const ledger::Season& season, const std::string& person,
                                   std::int64_t day, Seasons of = Seasons::at_hand);
// What that person counted in the block this season, of the same kind as `like`, latest last.
std::vector<int> earlier_numbers(const ledger::BlockSeason& block, const ledger::Body& like,
                                 const std::string& person);
// What somebody noted with one tap, other than a count: buds of a branch, a word told, how far a
// block is, a growth stage, hours worked, a row's end, a tree that does not bear.
struct ActLine {
  ledger::RecordId id;
  std::string block;
  std::int64_t at_ms = 0;
  ledger::Body body;
};
// Of that person and day, newest first; what was taken back is left out.
std::vector<ActLine> act_lines(const ledger::Season& season, const std::string& person,
                               std::int64_t day);
// The row's end of that record id; null where there is none, or it was taken back.
const RowEntry* row_entry(const ledger::Season& season, const std::string& record);
// The number of a count, a tag's as it was first counted; 0 of anything else.
int number_of(ledger::Body count);
// The line of that record id, withdrawn or not; `id` all zero where there is none.
CountLine count_line(const ledger::Season& season, const std::string& record);
// The body of that record as it stands now; Unknown where there is none.
ledger::Body body_of(const ledger::Season& season, const std::string& record);
// The same count with another number. Limbs no longer add up and are left out.
ledger::Body corrected(ledger::Body body, int number);
// The same count, of another tree.
ledger::Body on_tree(ledger::Body body, orchard::TreeAddress tree);

}  // namespace nthtree::screens
