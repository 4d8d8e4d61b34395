"use strict";
// Online, everything comes from the server. Offline, this shows the stored last check.
const CACHE = "safety-check";
const LAST = "/last";
const NOTHING = "<!doctype html><html lang=en><meta charset=utf-8>"
  + "<meta name=viewport content='width=device-width'><title>No answer</title>"
  + "<h1>No answer from the server</h1><p>No check is stored on this device yet.</p>";

self.addEventListener("install", (event) => {
  self.skipWaiting();
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(["/icon.svg", "/manifest.webmanifest"])));
});
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

const stored = async (request) => {
  const cache = await caches.open(CACHE);
  if (request.mode !== "navigate") return (await cache.match(request)) ?? Response.error();
  const page = await cache.match(LAST);
  if (!page) return new Response(NOTHING, { headers: { "Content-Type": "text/html" } });
  return new URL(request.url).pathname === LAST ? page : Response.redirect(LAST, 303);
};
self.addEventListener("fetch", (event) => {
  event.respondWith(fetch(event.request).catch(() => stored(event.request)));
});
