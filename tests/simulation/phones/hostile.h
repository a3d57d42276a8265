// SPDX-License-Identifier: Apache-2.0
//
// A phone that has joined, with a pruner's key, and does its worst: everything in THREATS.md that
// one key can send, and what it can hand to others as a file.
//
// It reads all the hub gives, speaks the protocol itself, and keeps to no promise. What it makes is
// noted in World::forged. check_trust says what it may have reached.
#pragma once

#include <string>
#include <vector>

#include "ledger/record.h"
#include "sync/message.h"

namespace nthtree::simulation {

class World;

class Hostile {
 public:
  explicit Hostile(World& world) : world_(world) {}

  void act();
  std::int64_t key() const { return key_; }  // its number; 0 before it has joined

 private:
  struct Seen {
    ledger::RecordId id;
    std::string bytes;
  };
  bool join();
  void look();
  void push(const ledger::DeviceKey& device, const std::vector<sync::RawRecord>& raw_records);
  std::string ask(std::string_view path, const std::string& body);
  const Seen* any_seen();
  ledger::RecordId next_id_of_somebody();
  sync::RawRecord forge(const ledger::RecordId& id, ledger::Body body,
                        std::optional<ledger::RecordId> replaces = std::nullopt,
                        std::int64_t ahead_ms = 0);
  sync::RawRecord forge_long(const ledger::RecordId& id);

  // one act each
  void claim_the_next_id();
  void claim_a_held_id();
  void send_garbage();
  void scatter_numbers();
  void move_what_stands();
  void reach_above_its_role();
  void withdraw_what_others_wrote();
  void claim_a_device();
  void hand_over_forgeries();

  World& world_;
  std::string bearer_;
  std::int64_t key_ = 0;
  ledger::DeviceKey device_;
  std::uint64_t sequence_ = 0;
  std::vector<Seen> seen_;
};

}  // namespace nthtree::simulation
