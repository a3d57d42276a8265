// SPDX-License-Identifier: Apache-2.0
//
// A phone of the simulated farm: the real sync::Client and the real season on a simulated disk. It
// is the app's wiring as src/sync/README.md tells it, and nothing more.
//
// Invariant: what `disk` holds survives a crash; what is under way may or may not, each
// transaction as a whole.
#pragma once

#include <deque>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "ledger/season.h"
#include "sync/client.h"

namespace nthtree::simulation {

class World;

struct Disk {
  std::map<ledger::RecordId, std::string> records;
  std::string state;
};

class Phone {
 public:
  Phone(World& world, int number, std::int64_t skew_ms);

  void start();
  void crash();
  bool running() const { return client != nullptr; }
  void count();                          // somebody saves a tree
  void take_over(const Disk& other);     // clone, or set back; the phone must be off
  void write_as_other_version(bool readable);  // on the disk, while the phone is off
  void import(const std::string& lines);
  void answer(int incarnation, std::int32_t request, int status, const std::string& body);
  void drive();                          // carry out what the client wants
  sync::Moment moment();

  World& world;
  const int number;
  std::int64_t skew_ms;
  Disk disk;
  std::unique_ptr<sync::Client> client;
  ledger::Season season;
  ledger::DeviceKey device;              // as last known, also while off
  int incarnation = 0;
  bool disk_full = false;
  bool cut_off = false;
  int told_cloned = 0;
  // Records in the order this phone wrote them, since it last was itself (not cloned or set back).
  std::vector<ledger::Record> written;

 private:
  struct Transaction {
    std::int64_t number = 0;
    std::vector<sync::RawRecord> puts;
    std::vector<ledger::RecordId> drops;
    std::string state;  // empty: left as it is
    std::int32_t store = 0;
    std::unique_ptr<ledger::Record> local;
  };
  void join();
  void begin(Transaction transaction);
  void finish(int incarnation_then, std::int64_t transaction);
  void write_to_disk(const Transaction& transaction, bool torn);
  void saved(const ledger::Record& record);
  void carry_out(sync::Action& action);
  ledger::Body next_body(std::optional<ledger::RecordId>& replaces);

  std::int64_t started_ms_ = 0;
  std::int64_t transactions_ = 0;
  std::int64_t wake_at_ms_ = -1;
  std::deque<Transaction> under_way_;
};

}  // namespace nthtree::simulation
