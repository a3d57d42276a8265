// SPDX-License-Identifier: Apache-2.0
//
// What phone and hub say to each other, version 1: one line of JSON, then, where records travel,
// one record a line, byte for byte as first written. PROTOCOL.md has the whole exchange.
//
// Records are never put inside the JSON: a line nobody can read spoils no other line, no byte is
// escaped or changed, and the hub splits a batch without parsing it.
// Reading trusts nothing; an Error names the field.
//
//   Envelope envelope = *read_envelope(body);
//   Result<PushRequest> push = read_push_request(envelope);
#pragma once

#include <cstdint>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "orchard/person.h"
#include "sync/rehome.h"
#include "sync/sequence_set.h"
#include "sync/standing.h"

namespace nthtree::sync {

inline constexpr int protocol_version = 1;

// Limits of one message; the hub refuses more, the phone never sends it.
inline constexpr std::size_t batch_records_max = 200;
inline constexpr std::size_t batch_record_bytes_max = 900 * 1024;  // leaves room for the head line
// A page of a pull that is packed (packed_lines.h): a season of 200,000 records is 100 pages, and a
// slow phone stores one in a fraction of a second.
inline constexpr std::size_t page_records_max = 2000;
inline constexpr std::size_t body_bytes_max = 1 << 20;
inline constexpr std::size_t head_bytes_max = 512 * 1024;  // 5,000 devices in one hello
inline constexpr std::size_t device_name_bytes_max = 64;
// A hello names at most this much, so that nothing anybody sends can make it too long to be read:
// what is left out is named in another one.
inline constexpr std::size_t have_bytes_max = 400 * 1024;
inline constexpr std::size_t have_ranges_max = 1000;  // of one device
inline constexpr std::size_t proofs_max = 16;

inline constexpr std::string_view path_join = "/v1/join";
inline constexpr std::string_view path_hello = "/v1/hello";
inline constexpr std::string_view path_push = "/v1/push";
inline constexpr std::string_view path_pull = "/v1/pull";
// For a manager's phone.
inline constexpr std::string_view path_keys = "/v1/keys";
inline constexpr std::string_view path_change_key = "/v1/keys/change";
inline constexpr std::string_view path_code = "/v1/keys/code";
inline constexpr std::string_view path_forget = "/v1/forget";

// The spelling of a role in messages, in the hub's file and on its command line.
const char* role_name(orchard::Role role);
std::optional<orchard::Role> role_named(std::string_view name);

// A message taken apart: the head line as JSON, the other lines as they are.
struct Envelope {
  nlohmann::json head;
  std::vector<std::string_view> lines;  // views into the text given to read_envelope
  std::string_view packed;              // where the head says so: all of it, in place of lines
};
base::Result<Envelope> read_envelope(std::string_view body);

// Where a phone stands in the hub's list of arrivals. `opening` is a random text that the hub draws
// each time it starts: it names the start that gave out this arrival number. A hub that was set
// back gives the same numbers again, but from another start, and the phone begins anew.
struct Cursor {
  std::string epoch;  // of the hub; empty before the first pull
  std::uint64_t arrival = 0;
  std::string opening;  // empty at arrival 0
  friend bool operator==(const Cursor&, const Cursor&) = default;
};

struct JoinRequest {
  std::string code;
  std::string name;  // what the hub's people call this phone
};
struct JoinReply {
  std::string bearer;  // the phone's key; letters, digits, - and _, so that a header can carry it
  std::optional<orchard::Role> role = {};  // what it may do; empty: the hub does not say
};

struct HelloRequest {
  ledger::DeviceKey device;
  Coverage have;  // of every device
  Cursor cursor;
  std::int64_t wall_ms = 0;  // the phone's own clock, right or wrong
  // The texts that this phone's devices are the digests of (device_of_proof): nobody else has them.
  std::vector<std::string> proofs;
};
struct HelloReply {
  std::string epoch;
  std::int64_t wall_ms = 0;
  Coverage missing;              // what the hub lacks of `have`
  std::uint64_t head = 0;        // contiguous, of the asking device
  std::uint64_t backed_up = 0;   // the same, in a verified backup
  bool not_owner = false;        // another key owns the asking device: take a new one
  Coverage apart;  // of `have`: what came from this key, is not held, and is kept apart
  std::optional<orchard::Role> role = {};  // of the key that asks; empty: the hub does not say
};

struct PushRequest {
  ledger::DeviceKey device;                // who sends
  std::vector<ledger::RecordId> ids;       // of the lines, in order
  std::vector<std::string_view> lines;
  // How the sender knows lines to stand, where not as usual: a hub that was set back hears again
  // what it had set aside. Rank hearsay in its own devices' lines: it does not vouch for them.
  std::map<std::size_t, Standing> standings;
};
struct PushReply {
  std::string epoch;
  std::uint64_t head = 0;
  std::uint64_t backed_up = 0;
  std::vector<ledger::RecordId> conflicts;  // ids that two records claim
  std::vector<ledger::RecordId> set_aside;  // records the hub cannot read; it keeps their bytes
  std::vector<ledger::RecordId> wanted;     // the hub's bytes under these may be others: send yours
};

struct PullRequest {
  Cursor cursor;
  std::uint64_t records_max = batch_records_max;
  bool packed = false;  // the phone takes packed records; older ones do not ask
};
struct PullReply {
  Cursor cursor;       // after these records
  bool reset = false;  // the cursor was not of this hub's history: these are from the beginning
  bool more = false;
  std::vector<std::string_view> lines;
  std::map<std::size_t, Standing> standings;  // of lines whose standing is not the usual one
  std::vector<ledger::RecordId> gone;         // removed at the hub: to be dropped here
  bool packed = false;                        // to be written so, or was read so
  std::shared_ptr<const std::string> text;    // what was unpacked: the lines look into it
};

// The device that a proof, 32 hexadecimal digits drawn at random, belongs to.
ledger::DeviceKey device_of_proof(std::string_view proof);

std::string write(const JoinRequest& message);
std::string write(const JoinReply& message);
std::string write(const HelloRequest& message);
std::string write(const HelloReply& message);
std::string write(const PushRequest& message);
std::string write(const PushReply& message);
std::string write(const PullRequest& message);
std::string write(const PullReply& message);
// {"v":1,"error":id,"what":what}
std::string write_error(const base::Error& error);
// The same for a join code that is not taken; minutes: how long the hub's codes are good.
std::string write_code_refusal(const base::Error& error, std::int64_t minutes);

base::Result<JoinRequest> read_join_request(const Envelope& envelope);
base::Result<JoinReply> read_join_reply(const Envelope& envelope);
base::Result<HelloRequest> read_hello_request(const Envelope& envelope);
base::Result<HelloReply> read_hello_reply(const Envelope& envelope);
base::Result<PushRequest> read_push_request(const Envelope& envelope);
base::Result<PushReply> read_push_reply(const Envelope& envelope);
base::Result<PullRequest> read_pull_request(const Envelope& envelope);
base::Result<PullReply> read_pull_reply(const Envelope& envelope);

}  // namespace nthtree::sync
