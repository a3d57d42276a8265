// SPDX-License-Identifier: Apache-2.0
#include "hub/commands.h"

#include <fcntl.h>
#include <pthread.h>
#include <signal.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <future>
#include <iterator>

#include "base/text.h"
#include "hub/backups.h"
#include "hub/keys_sqlite.h"
#include "hub/log.h"
#include "hub/season_of_store.h"
#include "hub/secret.h"
#include "hub/server.h"
#include "hub/store_postgresql.h"
#include "hub/store_sqlite.h"
#include "ledger/ledger.h"

namespace nthtree::hub {
namespace {

namespace fs = std::filesystem;

std::int64_t wall_ms() {
  using namespace std::chrono;
  return duration_cast<milliseconds>(system_clock::now().time_since_epoch()).count();
}

std::string store_path(const Options& options) { return options.data + "/hub.sqlite"; }

// For people; without a password.
std::string place_of(const Options& options) {
  if (options.store.empty()) return store_path(options);
  std::string names;
  for (const FarmAt& farm : options.farms) names += (names.empty() ? "" : ", ") + farm.name;
  return options.farms.empty() ? "farm " + options.farm : "farms " + names;
}

// One hub a folder: the kernel lets go of the lock whatever ends the process. Where the records are
// not in a folder, there is none to lock.
class FolderLock {
 public:
  explicit FolderLock(const std::string& folder)
      : file_(folder.empty() ? -1 : open((folder + "/lock").c_str(),
                                         O_RDWR | O_CREAT | O_CLOEXEC, 0600)),
        held_(folder.empty() || (file_ >= 0 && flock(file_, LOCK_EX | LOCK_NB) == 0)) {}
  ~FolderLock() {
    if (file_ >= 0) close(file_);
  }
  FolderLock(const FolderLock&) = delete;
  FolderLock& operator=(const FolderLock&) = delete;
  bool held() const { return held_; }

 private:
  int file_;
  bool held_;
};

// An empty or missing file where there was a farm is a disk that failed, a wrong folder or a wrong
// mount, and not a new farm: the phones would be told to send all again to a hub without keys.
base::Result<std::unique_ptr<Store>> open_store(const Options& options) {
  if (!options.store.empty()) {
    return open_postgresql_store({options.store, options.farm, options.new_farm});
  }
  const std::string path = store_path(options);
  std::error_code error;
  const bool is_there = fs::exists(path, error) && fs::file_size(path, error) > 0;
  for (const char* trace : {"", "-wal", ".before", ".withdrawn", ".farm"}) {
    if (is_there || options.new_farm || !fs::exists(path + trace, error)) continue;
    return base::Error{"store_missing",
                       "is missing or empty although there was a farm here: look for the disk, "
                       "restore a backup, or say --new-farm", path};
  }
  auto store = open_sqlite_store(path);
  if (store) std::ofstream(path + ".farm") << "There is a farm here. See " << path << ".\n";
  return store;
}

// Names come from phones: what is no letter a terminal shows could be an order to it.
std::string printable(std::string_view text) {
  std::string safe;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    const bool is_shown = byte >= 0x20 && byte != 0x7f && c != '\\';
    safe += is_shown ? std::string(1, c) : base::print("\\x%02x", byte);
  }
  return safe;
}

base::Status import_scenario(const std::string& folder, Writer& writer) {
  std::vector<fs::path> files;
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(folder, error)) {
    if (entry.path().extension() == ".jsonl") files.push_back(entry.path());
  }
  if (files.empty()) return base::Error{"no_file", "has no .jsonl file", folder};
  std::sort(files.begin(), files.end());
  for (const fs::path& path : files) {
    std::ifstream file(path, std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(file), {}};
    const ledger::LedgerFile ledger = ledger::read_ledger_file(text);
    for (const base::Error& bad : ledger.errors) {
      log(Level::warning, "line_not_read", {{"file", path.string()}, {"why", bad.text()}});
    }
    std::promise<base::Status> done;
    std::uint64_t added = 0;
    writer.run(
        [&](Store&, sync::HubSide& side) {
          const auto imported = side.import(ledger.records, wall_ms());
          if (imported) added = *imported;
        },
        [&](base::Status status) { done.set_value(std::move(status)); });
    if (const auto status = done.get_future().get(); !status) return status;
    std::printf("imported %llu records from %s\n", static_cast<unsigned long long>(added),
                path.filename().c_str());
  }
  return base::Ok{};
}

// Each connection is an open file.
void raise_file_limit() {
  rlimit files{};
  if (getrlimit(RLIMIT_NOFILE, &files) != 0) return;
  files.rlim_cur = std::min<rlim_t>(files.rlim_max, connections_max + 100);
  setrlimit(RLIMIT_NOFILE, &files);
}

ServiceSettings settings_of(const Options& options) {
  ServiceSettings settings;
  settings.is_https = options.behind_tls || !options.tls_certificate.empty();
  settings.hosts = options.hosts;
  settings.code_minutes = options.code_minutes;
  settings.wall_ms = wall_ms;
  settings.trusted_proxy = options.trusted_proxy;
  if (!options.role.empty()) settings.code_role = role_named(options.role);
  if (!options.backup_folder.empty()) {
    settings.last_backup_ms = [folder = options.backup_folder] { return newest_backup_ms(folder); };
    settings.backup_hours = options.backup_hours;
  }
  const std::string at = options.farms.empty() ? "" : " at " + options.hosts.front();
  settings.show_code = [at](const std::string& code, orchard::Role role) {
    std::printf("join code: %s\n  for a %s's phone%s\n", code.c_str(), role_name(role), at.c_str());
    std::fflush(stdout);
  };
  return settings;
}

base::Status listen(Server& server, const Options& options) {
  if (options.metrics) {
    const auto opened = server.listen(options.metrics->host, options.metrics->port, Door::metrics);
    if (!opened) return opened;
    std::printf("counts at http://%s:%u/metrics\n", options.metrics->host.c_str(),
                server.port(Door::metrics));
  }
  const std::string& host = options.listen.host;
  if (const auto opened = server.listen(host, options.listen.port); !opened) return opened;
  const bool is_v6 = host.find(':') != std::string::npos;
  std::printf("listening on http%s://%s%s%s:%u\n", options.tls_certificate.empty() ? "" : "s",
              is_v6 ? "[" : "", host.c_str(), is_v6 ? "]" : "", server.port());
  std::fflush(stdout);
  return base::Ok{};
}

// Until somebody wants it to end; SIGHUP reads the certificate again.
void wait_for_end(const sigset_t& signals, Server& server) {
  for (int signal = 0;;) {
    sigwait(&signals, &signal);
    if (signal != SIGHUP) return;
    const auto loaded = server.load_tls();
    loaded ? log(Level::info, "reloaded")
           : log(Level::error, "reload_failed", {{"why", loaded.error().text()}});
  }
}

// One farm of those that this process serves.
struct Served {
  explicit Served(std::unique_ptr<Store> store) : writer(std::move(store), wall_ms) {}
  Writer writer;
  std::unique_ptr<Service> service;
};

base::Result<std::unique_ptr<Served>> open_farm(const Options& options,
                                                std::shared_ptr<const Site> site) {
  auto store = open_store(options);
  if (!store) return store.error();
  const bool empty = (*store)->last_arrival() == 0;
  auto served = std::make_unique<Served>(std::move(*store));
  if (const auto started = served->writer.start(); !started) return started.error();
  if (empty && !options.scenario.empty()) {
    const auto imported = import_scenario(options.scenario, served->writer);
    if (!imported) return imported.error();
  }
  served->service =
      std::make_unique<Service>(settings_of(options), std::move(site), served->writer);
  if (const auto loaded = served->service->load(); !loaded) return loaded.error();
  return base::Result<std::unique_ptr<Served>>(std::move(served));
}

base::Status open_farms(const Options& options, std::shared_ptr<const Site> site,
                        std::vector<std::unique_ptr<Served>>& all, Farms& farms) {
  if (options.farms.empty()) {
    auto only = open_farm(options, std::move(site));
    if (!only) return only.error();
    farms = Farms(*(*only)->service);
    all.push_back(std::move(*only));
    return base::Ok{};
  }
  for (const FarmAt& farm : options.farms) {
    Options its = options;
    its.farm = farm.name;
    its.hosts = {farm.host};
    auto served = open_farm(its, site);
    if (!served) return served.error();
    farms.add(farm.name, farm.host, *(*served)->service);
    all.push_back(std::move(*served));
  }
  return base::Ok{};
}

base::Status serve(const Options& options) {
  const FolderLock lock(options.store.empty() ? options.data : "");
  if (!lock.held()) return base::Error{"in_use", "another hub uses this folder", options.data};
  // All threads leave these to the one that waits for them below.
  sigset_t endings;
  sigemptyset(&endings);
  sigaddset(&endings, SIGINT);
  sigaddset(&endings, SIGTERM);
  sigaddset(&endings, SIGHUP);
  pthread_sigmask(SIG_BLOCK, &endings, nullptr);
  signal(SIGPIPE, SIG_IGN);

  auto site = std::make_shared<Site>();
  if (!options.site.empty()) {
    auto loaded = load_site(options.site);
    if (!loaded) return loaded.error();
    *site = std::move(*loaded);
  }
  std::vector<std::unique_ptr<Served>> all;
  Farms farms;
  if (const auto opened = open_farms(options, std::move(site), all, farms); !opened) return opened;
  raise_file_limit();
  ServerSettings server_settings;
  server_settings.tls_certificate = options.tls_certificate;
  server_settings.tls_key = options.tls_key;
  Server server(std::move(farms), server_settings);
  if (const auto listening = listen(server, options); !listening) return listening;
  for (const auto& served : all) served->service->start();
  log(Level::info, "started", {{"version", NTHTREE_VERSION}, {"data", place_of(options)}});
  Backups backups({store_path(options), options.backup_folder, options.backup_hours,
                   options.backup_keep}, wall_ms);
  if (!options.backup_folder.empty()) backups.start();
  wait_for_end(endings, server);
  backups.stop();
  server.stop();
  for (const auto& served : all) served->writer.stop();
  log(Level::info, "stopped");
  std::printf("stopped\n");
  return base::Ok{};
}

base::Status add_code(const Options& options) {
  auto store = open_store(options);
  if (!store) return store.error();
  const std::string code = new_join_code();
  const orchard::Role role = role_named(options.role).value_or(orchard::Role::pruner);
  (*store)->begin();
  (*store)->add_code(sync::sha256(*tidy_join_code(code)),
                     wall_ms() + options.code_minutes * 60000, {role, options.person, ""});
  if (const auto committed = (*store)->commit(); !committed) return committed;
  std::printf("join code: %s\n", code.c_str());
  return base::Ok{};
}

base::Status list_keys(const Options& options) {
  auto store = open_store(options);
  if (!store) return store.error();
  const auto keys = (*store)->keys();
  if (!keys) return keys.error();
  const auto uses = (*store)->uses_of_keys();
  if (const auto failure = (*store)->failure()) return *failure;
  for (const KeyOfPhone& key : *keys) {
    std::string last = "nothing sent";
    if (const auto use = uses.find(key.id); use != uses.end()) {
      const auto record = ledger::read_record((*store)->last_record_of(key.id).value_or(""));
      last = base::print("%llu records, the last %s",
                         static_cast<unsigned long long>(use->second.records),
                         base::iso_minute(use->second.last_ms).c_str());
      if (record && !record->author.empty()) last += " by " + printable(record->author);
    }
    std::printf("%4lld  %s  %s  %-7s  %s%s%s  %s\n", static_cast<long long>(key.id),
                base::iso_minute(key.joined_ms).c_str(),
                key.withdrawn_ms ? "withdrawn" : "good     ", role_name(key.role),
                printable(key.name).c_str(), key.person.empty() ? "" : " of ",
                printable(key.person).c_str(), last.c_str());
  }
  return base::Ok{};
}

base::Status withdraw(const Options& options) {
  auto store = open_store(options);
  if (!store) return store.error();
  (*store)->begin();
  const bool withdrawn = (*store)->withdraw_key(std::atoll(options.argument.c_str()), wall_ms());
  if (const auto committed = (*store)->commit(); !committed) return committed;
  if (!withdrawn) return base::Error{"no_key", "there is no good key with this number",
                                     options.argument};
  return base::Ok{};
}

base::Status list_set_aside(const Options& options) {
  auto store = open_store(options);
  if (!store) return store.error();
  for (const SetAside& entry : (*store)->set_aside_list()) {
    std::printf("%s from %s, no record: %s\n%s\n", entry.id.text().c_str(),
                printable(entry.carrier).c_str(), printable(entry.reason).c_str(),
                printable(entry.bytes).c_str());
  }
  // Held and given on, because a later version may read them.
  (*store)->each_held([&](const sync::HeldRecord& held) {
    if (!held.standing.aside.empty()) {
      std::printf("%s, kept and not counted: %s\n", held.id.text().c_str(),
                  printable(held.standing.aside).c_str());
    }
    const auto record = ledger::read_record(held.bytes);
    if (record) return;
    std::printf("%s, not readable here: %s\n", held.id.text().c_str(),
                printable(record.error().text()).c_str());
  });
  if (const auto failure = (*store)->failure()) return *failure;
  return base::Ok{};
}

base::Status verify(const Options& options) {
  auto store = open_store(options);
  if (!store) return store.error();
  std::uint64_t whole = 0;
  (*store)->each_held([&](const sync::HeldRecord&) { ++whole; });
  if (const auto failure = (*store)->failure()) return *failure;
  std::printf("%llu records are whole\n", static_cast<unsigned long long>(whole));
  if ((*store)->damaged().empty()) return base::Ok{};
  return base::Error{"damaged", base::print("%zu records are not what was stored",
                                            (*store)->damaged().size()), place_of(options)};
}

// Those that count nowhere are left out.
base::Status export_records(const Options& options) {
  auto store = open_store(options);
  if (!store) return store.error();
  const Days days{options.from, options.to};
  std::int64_t at_ms = 0;
  for (const std::string& day : {days.from, days.to}) {
    if (!day.empty() && !base::parse_iso(day, at_ms)) {
      return base::Error{"usage", "--from and --to want a day, 2026-02-03, not " + day, ""};
    }
  }
  const std::string text = options.format == "counts"  ? count_csv(**store, days)
                           : options.format == "table" ? record_csv(**store, days)
                                                       : lines_of(**store, days);
  if (const auto failure = (*store)->failure()) return *failure;
  std::ofstream file(options.argument, std::ios::binary);
  if (!(file << text).flush()) return base::Error{"no_file", "cannot be written", options.argument};
  std::printf("%lld lines are in %s\n",
              static_cast<long long>(std::count(text.begin(), text.end(), '\n')),
              options.argument.c_str());
  return base::Ok{};
}

// A key of its own, listed and withdrawn like a phone's; shown this once.
base::Status add_page_key(const Options& options) {
  auto store = open_store(options);
  if (!store) return store.error();
  const std::string secret = random_text();
  (*store)->begin();
  (*store)->add_key(sync::sha256(secret), "page of the day", {orchard::Role::manager, "", ""},
                    wall_ms());
  if (const auto committed = (*store)->commit(); !committed) return committed;
  std::printf("open /v1/day of the hub's address in a browser\nname: office\npassword: %s\n",
              secret.c_str());
  return base::Ok{};
}

base::Status make_backup(const Options& options) {
  const auto records = back_up(store_path(options), options.argument);
  if (!records) return records.error();
  std::printf("%llu records are safe in %s\n", static_cast<unsigned long long>(*records),
              options.argument.c_str());
  return base::Ok{};
}

base::Status restore_backup(const Options& options) {
  const FolderLock lock(options.data);
  if (!lock.held()) return base::Error{"in_use", "stop the hub first", options.data};
  return restore(options.argument, store_path(options));
}

}  // namespace

base::Status run_command(const std::string& command, const Options& options) {
  if (!options.role.empty() && !role_named(options.role)) {
    return base::Error{"usage", "--role is pruner, lead or manager, not " + options.role, ""};
  }
  umask(077);  // what the crew counts, and who they are, is for the farm's own eyes
  std::error_code error;
  if (options.store.empty()) fs::create_directories(options.data, error);
  if (error) return base::Error{"no_folder", error.message(), options.data};
  const bool wants_argument = command == "backup" || command == "restore" ||
                              command == "withdraw" || command == "export";
  if (wants_argument == options.argument.empty()) {
    return base::Error{"usage", command + (wants_argument ? " needs an argument"
                                                          : " takes no argument"), ""};
  }
  if (!options.store.empty() &&
      (command == "backup" || command == "restore" || !options.backup_folder.empty())) {
    return base::Error{"usage", "back up a PostgreSQL database with its own tools (pg_dump); these "
                                "backups are of a file in --data", "--store"};
  }
  if (command == "serve") return serve(options);
  if (command == "code") return add_code(options);
  if (command == "keys") return list_keys(options);
  if (command == "withdraw") return withdraw(options);
  if (command == "set-aside") return list_set_aside(options);
  if (command == "verify") return verify(options);
  if (command == "export") return export_records(options);
  if (command == "page") return add_page_key(options);
  if (command == "backup") return make_backup(options);
  if (command == "restore") return restore_backup(options);
  return base::Error{"usage", "unknown command " + command, ""};
}

}  // namespace nthtree::hub
