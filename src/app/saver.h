// SPDX-License-Identifier: Apache-2.0
//
// Records and drafts on their way to the phone's own disk.
//
// Invariants:
//   - a record is applied to the season, called saved and offered to sync only after the store has
//     confirmed it; the end of its draft is in the same transaction;
//   - saves are stored in the order they were made; a failed one waits and is tried again, never
//     dropped, and while it waits no draft is overwritten;
//   - what the ledger refuses takes no id, and its draft stays open; so does what its author, or
//     the key this phone joined with, may not write: the hub would set it aside.
//
//   saver.save(wish);                          // then, from the platform:
//   if (saver.done(id, outcome, detail)) …
#pragma once

#include <cstdint>
#include <deque>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "app/context.h"

namespace nthtree::app {

// Whose draft is kept under that name in the store; nothing where the name is no draft's.
std::optional<std::string> person_of_draft(std::string_view key);

class Saver {
 public:
  explicit Saver(Context& context) : context_(context) {}

  void save(const screens::SaveRecords& wish);
  void start_farm(const screens::StartFarm& wish);
  void try_again() { store_next(); }
  bool waits() const { return !saves_.empty(); }

  void draft_changed();  // of the person who holds the phone
  void write_drafts();
  void write_memory();  // before all is read: then
  void loaded();

  // True where the answer was to something written here.
  bool done(RequestId id, StoreOutcome outcome, std::string_view detail);
  void on_wake();

 private:
  // Records on their way to the disk, stored together or not at all.
  struct Save {
    std::vector<ledger::Record> records;
    screens::SaveRecords::From from = screens::SaveRecords::From::nothing;
    std::string draft_person;    // whose draft ends or changes with it
    std::string becomes_person;  // who holds the phone once it is durable (a farm was started)
  };

  // Why the author may not write that, as an id of ours; empty where they may.
  std::string why_not(const ledger::Body& body, const std::string& author,
                      const std::optional<ledger::RecordId>& replaces) const;
  // The records of these bodies, or why the ledger refuses one of them.
  base::Result<std::vector<ledger::Record>> made(const std::vector<ledger::Body>& bodies,
                                                 const std::string& author,
                                                 const std::optional<ledger::RecordId>& replaces);
  void queue(std::vector<ledger::Body> bodies, const std::string& author,
             const std::optional<ledger::RecordId>& replaces, Save save);
  void store_next();
  void stored(const Save& save);
  void failed(StoreOutcome outcome, std::string_view detail);
  const screens::Drafts& drafts_of(const std::string& person) const;

  Context& context_;
  std::deque<Save> saves_;        // the first is on its way, or waits for another try
  RequestId save_request_ = 0;    // 0: none under way
  std::int64_t again_ms_ = -1;    // elapsed time of the next try; -1: none planned
  RequestId draft_request_ = 0;
  bool memory_waits_ = false;
  std::set<std::string> drafts_dirty_;  // people whose half-done count is not on the disk yet
};

}  // namespace nthtree::app
