// SPDX-License-Identifier: Apache-2.0
#include <fcntl.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <map>

#include "base/text.h"
#include "hub/sqlite.h"
#include "hub/secret.h"
#include "hub/store_sqlite.h"
#include "sync/hub_side.h"

namespace nthtree::hub {
namespace {

namespace fs = std::filesystem;

base::Error failed(std::string what, const std::string& where) {
  return {"store_failed", std::move(what), where};
}

// A rename is safe only after the file itself, and lasting only after its folder, is on the disk.
bool sync_to_disk(const fs::path& path) {
  const int file = open(path.c_str(), O_RDONLY | O_CLOEXEC);
  if (file < 0) return false;
  const bool synced = fsync(file) == 0;
  close(file);
  return synced;
}

base::Status check_integrity(const std::string& path) {
  Database database;
  if (const auto opened = database.open(path, true); !opened) return opened;
  const std::string verdict = database.value("PRAGMA integrity_check");
  if (verdict == "ok") return base::Ok{};
  return failed("the file is damaged: " +
                    (database.failure() ? database.failure()->what : verdict.substr(0, 200)),
                path);
}

// One file without a log beside it.
base::Status fold_log(const std::string& path) {
  Database database;
  if (const auto opened = database.open(path, false); !opened) return opened;
  database.value("PRAGMA journal_mode=DELETE");
  if (database.failure()) return *database.failure();
  return base::Ok{};
}

struct Heads {
  std::vector<std::pair<ledger::DeviceKey, std::uint64_t>> by_device;
  std::uint64_t records = 0;
};

base::Result<Heads> heads_of(Store& store) {
  sync::HubSide side(store);
  if (const auto opened = side.open(); !opened) return opened.error();
  if (!store.damaged().empty()) {
    return failed(base::print("%zu records are damaged; run verify", store.damaged().size()),
                  store.damaged().front().text());
  }
  Heads heads;
  heads.records = side.records();
  for (const auto& [device, held] : side.held()) {
    if (const std::uint64_t head = side.head(device)) heads.by_device.emplace_back(device, head);
  }
  return heads;
}

base::Status mark(Store& store, const Heads& heads) {
  store.begin();
  store.set_backed_up(heads.by_device);
  return store.commit();
}

base::Result<std::uint64_t> check_and_mark(const std::string& copy, Heads& heads) {
  if (const auto whole = check_integrity(copy); !whole) return whole.error();
  {
    auto store = open_sqlite_store(copy);
    if (!store) return store.error();
    const auto found = heads_of(**store);
    if (!found) return found.error();
    heads = *found;
    if (const auto marked = mark(**store, heads); !marked) return marked.error();
  }
  if (const auto folded = fold_log(copy); !folded) return folded.error();
  return heads.records;
}

}  // namespace

base::Result<std::uint64_t> back_up(const std::string& path, const std::string& to) {
  std::error_code error;
  if (!fs::exists(path, error)) return failed("there is no store here", path);
  if (fs::exists(to, error)) return failed("is there already; a backup overwrites nothing", to);
  const std::string copy = to + ".part";
  fs::remove(copy, error);
  {
    Database database;
    if (const auto opened = database.open(path, false); !opened) return opened.error();
    Statement vacuum(database, "VACUUM INTO ?");
    vacuum.bind_text(1, copy).run();
    if (database.failure()) return *database.failure();
  }
  Heads heads;
  const auto checked = check_and_mark(copy, heads);
  if (!checked) return checked.error();
  fs::rename(copy, to, error);
  const fs::path folder = fs::absolute(to).parent_path();
  if (error || !sync_to_disk(to) || !sync_to_disk(folder)) {
    return failed("cannot be written", to);
  }
  // Only now may phones be told that their records are in a backup.
  auto store = open_sqlite_store(path);
  if (!store) return store.error();
  if (const auto marked = mark(**store, heads); !marked) return marked.error();
  return heads.records;
}

std::string hexadecimal(const sync::Digest& digest) {
  std::string text;
  for (const std::uint8_t byte : digest) text += base::print("%02x", byte);
  return text;
}

// A backup of before a phone was lost would let it in again.
void withdraw_again(Store& store, const std::string& path) {
  std::map<std::string, std::int64_t> withdrawn;
  std::ifstream list(path + ".withdrawn");
  for (std::string hash; list >> hash;) list >> withdrawn[hash];
  const auto keys = store.keys();
  if (!keys) return;
  for (const KeyOfPhone& key : *keys) {
    const auto found = withdrawn.find(hexadecimal(key.hash));
    if (key.withdrawn_ms != 0 || found == withdrawn.end()) continue;
    store.withdraw_key(key.id, found->second);
  }
}

base::Status restore(const std::string& from, const std::string& path) {
  if (const auto whole = check_integrity(from); !whole) return whole;
  std::error_code error;
  const std::string copy = path + ".part";
  fs::remove(copy, error);
  fs::copy_file(from, copy, error);
  if (error) return failed("cannot be written: " + error.message(), copy);
  {
    auto store = open_sqlite_store(copy);
    if (!store) return store.error();
    (*store)->begin();
    (*store)->set_epoch(random_text());
    withdraw_again(**store, path);
    if (const auto committed = (*store)->commit(); !committed) return committed;
  }
  if (const auto folded = fold_log(copy); !folded) return folded;
  if (!sync_to_disk(copy)) return failed("cannot be written", copy);
  for (const char* part : {"", "-wal", "-shm"}) {
    fs::remove(path + ".before" + part, error);
    if (fs::exists(path + part, error)) fs::rename(path + part, path + ".before" + part, error);
    if (error) return failed("cannot be moved away: " + error.message(), path + part);
  }
  fs::rename(copy, path, error);
  if (error || !sync_to_disk(fs::absolute(path).parent_path())) {
    return failed("cannot be written", path);
  }
  return base::Ok{};
}

}  // namespace nthtree::hub
