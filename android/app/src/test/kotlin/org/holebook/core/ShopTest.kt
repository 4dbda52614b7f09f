package org.holebook.core

import java.io.File
import java.util.concurrent.Callable
import java.util.concurrent.CountDownLatch
import java.util.concurrent.Executors
import java.util.concurrent.TimeUnit.SECONDS
import org.json.JSONObject
import org.junit.jupiter.api.Assertions.assertEquals
import org.junit.jupiter.api.Assertions.assertFalse
import org.junit.jupiter.api.Assertions.assertThrows
import org.junit.jupiter.api.Assertions.assertTrue
import org.junit.jupiter.api.Test

/** Pairing, sync and bundles by typed calls, with the shop computer's program in a process. */
class ShopTest {
    private inline fun <reified E : NotebookException> fails(crossinline call: () -> Any?): E {
        val failed = assertThrows(NotebookException::class.java) { call() }
        assertTrue(failed is E, "$failed is not ${E::class.simpleName}")
        assertTrue(failed.toString().length > 20, failed.toString())
        return failed as E
    }

    private fun TestNotebook.start(shop: PairedShop) = book.startSync(SyncTarget.Shop(shop.id))

    private fun TestNotebook.sync(shop: PairedShop): SyncReport =
        book.sync(SyncTarget.Shop(shop.id))

    private fun Notebook.castingNames() = castings().map { it.name }.sorted()

    /** The names of the castings in the shop computer's notebook, from its own command. */
    private fun ShopProgram.castingNames(): List<String> {
        val castings = JSONObject(command("list", "--json")).getJSONArray("castings")
        val names = (0 until castings.length()).map { castings.getJSONObject(it).getString("name") }
        return names.sorted()
    }

    private fun ShopProgram.hasNoProblems() = "No problems found" in command("verify")

    @Test
    fun `pairs by digits, and each gets what the other recorded`(): Unit =
        TestNotebook().use { phone ->
            ShopProgram(sample = true).use { shop ->
                val other = "../../samples/screens/face.jpg" // the sample has another photo
                val photo = phone.book.addPhoto(phone.face(), other)
                val paired = shop.code { phone.book.pair(it.typed.replace(' ', '\n')) }
                assertEquals(listOf(paired.id), phone.book.shops().map { it.id })
                assertEquals(listOf("barn phone"), shop.devices())
                val addresses = paired.addresses
                assertTrue(addresses.all { it.endsWith(":${shop.port}") }, "$addresses")

                val report = phone.sync(paired)
                assertTrue(report.entriesPulled > 100u, "$report")
                assertEquals(1u to 1u, report.photosPulled to report.photosPushed)
                assertEquals(0uL, phone.book.entriesNotSynced())
                assertEquals(phone.book.castingNames(), shop.castingNames())
                assertTrue("Pump end, invented" in shop.castingNames())
                assertTrue(photo.file.hash in shop.photos())
                assertTrue(phone.book.verify().findings.isEmpty())

                val again = phone.sync(paired)
                assertEquals(0u to 0u, again.entriesPulled to again.entriesPushed)
                val known = phone.book.knownRemotes().single()
                assertEquals(paired.id, known.id)
                assertTrue(known.paired && known.last != null, "$known")
            }
        }

    @Test
    fun `an invalid, used or unreachable code pairs nothing`(): Unit =
        TestNotebook().use { phone ->
            fun problem(code: String) =
                fails<NotebookException.Pairing> { phone.book.pair(code) }.problem
            val link = ShopProgram().use { shop ->
                shop.code { code ->
                    val incomplete = code.typed.substringBeforeLast(' ')
                    val others = listOf("", "12 345 678", "gate parade")
                    for (wrong in others + incomplete + "https://example.org/") {
                        assertEquals(PairingProblem.CODE_INVALID, problem(wrong), wrong)
                    }
                    phone.book.forgetRemote(phone.book.pair(code.link).id)
                    assertEquals(PairingProblem.CODE_USED, problem(code.link))
                }
                shop.code { it.link }
            }
            assertEquals(PairingProblem.UNREACHABLE, problem(link))
            assertTrue(phone.book.shops().isEmpty())
            val unknown = SyncTarget.Shop("shop:nobody")
            fails<NotebookException.Pairing> { phone.book.startSync(unknown) }
        }

    @Test
    fun `another computer at the shop's address gets nothing`(): Unit =
        TestNotebook().use { phone ->
            ShopProgram().use { shop ->
                ShopProgram().use { other ->
                    phone.face()
                    val paired = shop.code { phone.book.pair(it.typed) }
                    shop.kill()
                    val seen = SeenShop(paired.announcedAs, listOf("127.0.0.1:${other.port}"))
                    phone.book.setSeenShops(listOf(seen))
                    fails<NotebookException.Remote> { phone.sync(paired) }
                    assertTrue(other.castingNames().isEmpty())
                    assertTrue(phone.book.entriesNotSynced() > 0uL)
                }
            }
        }

    @Test
    fun `a shop computer that has moved is found again by its key`(): Unit =
        TestNotebook().use { phone ->
            ShopProgram().use { shop ->
                phone.face()
                val paired = StallingProxy(shop).use { proxy ->
                    proxy.link(phone.book::pair).also { phone.sync(it) }
                }
                val gone = fails<NotebookException.Remote> { phone.sync(paired) }
                assertEquals(RemoteProblem.UNREACHABLE, gone.problem)
                val addresses = listOf("no address", "127.0.0.1:${shop.port}")
                val seen = SeenShop(paired.announcedAs.lowercase(), addresses)
                phone.book.setSeenShops(listOf(seen))
                phone.sync(paired)
                phone.book.setSeenShops(emptyList())
                phone.sync(paired) // the last address is remembered
            }
        }

    @Test
    fun `a revoked phone cannot sync until it is paired again`(): Unit =
        TestNotebook().use { phone ->
            ShopProgram().use { shop ->
                val paired = shop.code { phone.book.pair(it.typed) }
                phone.face()
                shop.command("devices", "--revoke", shop.devices().single())
                val failed = fails<NotebookException.Remote> { phone.sync(paired) }
                assertEquals(RemoteProblem.ACCESS_DENIED, failed.problem)
                assertTrue(shop.castingNames().isEmpty())
                shop.code { phone.book.pair(it.typed) }
                assertTrue(phone.sync(paired).entriesPushed > 0u)
            }
        }

    @Test
    fun `a running sync reports its progress and excludes others`(): Unit =
        interrupted { phone, proxy, paired ->
            proxy.stall(MID_PHOTO, { phone.start(paired) }) { run ->
                assertFalse(run.isOver())
                val progress = run.progress()
                assertEquals(SyncRunPhase.PUSHING, progress.phase)
                assertEquals(1u to 1u, progress.number to progress.remotes)
                assertTrue(progress.entries < progress.entriesTotal, "$progress")
                val start = Callable { runCatching { phone.start(paired) }.exceptionOrNull() }
                val threads = Executors.newFixedThreadPool(2)
                val failures = threads.invokeAll(List(2) { start }).map { it.get() }
                assertTrue(failures.all { it is NotebookException.SyncRunning }, "$failures")
                threads.shutdown()
                phone.book.addCasting(CastingBody("Recorded meanwhile"))
                run
            }.use { run ->
                val done = run.result().single() as RemoteOutcome.Done
                assertEquals(1u, done.report.photosPushed)
                assertTrue(run.isOver())
                assertEquals(SyncRunPhase.FINISHED, run.progress().phase)
            }
            assertEquals(1uL, phone.book.entriesNotSynced())
        }

    @Test
    fun `a canceled sync is completed by the next`(): Unit =
        interrupted { phone, proxy, paired ->
            val run = proxy.stall(MID_PHOTO, { phone.start(paired) }) { run ->
                run.also { it.cancel() }
            }
            fails<NotebookException.Canceled> { run.result() }
            run.close()
            assertTrue(phone.book.entriesNotSynced() > 0uL)
        }

    @Test
    fun `a shop computer that loses power keeps what it had, and the next sync continues`(): Unit =
        interrupted { phone, proxy, paired ->
            val run = proxy.stall(MID_PHOTO, { phone.start(paired) }) { run ->
                run.also { proxy.shop.kill() }
            }
            val failed = fails<NotebookException.Remote> { run.result() }
            assertEquals(RemoteProblem.UNREACHABLE, failed.problem)
            run.close()
            proxy.shop.open()
        }

    @Test
    fun `shutdown cancels a running sync, and nothing is lost`() {
        ShopProgram().use { shop ->
            StallingProxy(shop).use { proxy ->
                TestNotebook().use { phone ->
                    phone.book.addPhoto(phone.face(), TestNotebook.photo.path)
                    val paired = proxy.link(phone.book::pair)
                    val closing = Executors.newSingleThreadExecutor()
                    val started = CountDownLatch(1)
                    val (run, closed) = proxy.stall(MID_PHOTO, { phone.start(paired) }) { run ->
                        val closed = closing.submit {
                            started.countDown()
                            phone.book.shutdown()
                        }
                        started.await()
                        Thread.sleep(1_000) // it cancels the sync first
                        run to closed
                    }
                    closed.get(60, SECONDS)
                    closing.shutdown()
                    assertTrue(run.isOver())
                    fails<NotebookException.Canceled> { run.result() }
                    fails<NotebookException.Closed> { phone.start(paired) }
                    Notebook.open(File(phone.folder, "notebook").path).use { again ->
                        again.sync(SyncTarget.All)
                        assertEquals(0uL, again.entriesNotSynced())
                        assertTrue(again.verify().findings.isEmpty())
                        again.shutdown()
                    }
                }
                assertTrue(shop.hasNoProblems())
            }
        }
    }

    @Test
    fun `one sync covers every known remote, also after one that is missing`(): Unit =
        TestNotebook().use { phone ->
            ShopProgram().use { shop ->
                fails<NotebookException.Remote> { phone.book.startSync(SyncTarget.All) }
                phone.face()
                val stick = File(phone.folder, "stick")
                phone.book.sync(SyncTarget.Folder(stick.path))
                shop.code { phone.book.pair(it.typed) }
                stick.renameTo(File(phone.folder, "elsewhere"))
                val outcomes = phone.book.startSync(SyncTarget.All).use { it.result() }
                assertTrue(outcomes[0] is RemoteOutcome.Done, "$outcomes")
                val missing = outcomes[1] as RemoteOutcome.Failed
                assertEquals(RemoteProblem.NOT_FOUND, missing.problem)
                val remotes = phone.book.knownRemotes()
                assertEquals(listOf(true, false), remotes.map { it.paired })
                remotes.forEach { phone.book.forgetRemote(it.id) }
                assertTrue(phone.book.knownRemotes().isEmpty() && phone.book.shops().isEmpty())
            }
        }

    @Test
    fun `a bundle goes there and back`(): Unit = TestNotebook().use { phone ->
        TestNotebook().use { other ->
            val photo = phone.book.addPhoto(phone.face(), TestNotebook.photo.path).id
            assertEquals(1uL, phone.book.photosNotSynced())
            val file = File(phone.folder, "barn.zip")
            val written = phone.book.writeBundle(file.path, BundleContent.NOT_SYNCED)
            assertEquals(1uL to file.length().toULong(), written.photos to written.bytes)
            assertTrue(phone.book.entriesNotSynced() > 0uL, "a file may get lost")
            fails<NotebookException.Bundle> {
                phone.book.writeBundle(file.path, BundleContent.ALL)
            }

            val target = SyncTarget.Bundle(file.path)
            val imported = other.book.sync(target)
            assertEquals(written.entries, imported.entriesPulled.toULong())
            assertEquals(1u, imported.photosPulled)
            assertTrue(File(other.book.photoView(photo)).length() > 0)
            other.book.sendBack(phone)

            file.writeBytes(file.readBytes().copyOf(file.length().toInt() / 2))
            fails<NotebookException.Bundle> { other.book.sync(target) }
        }
    }

    private fun Notebook.sendBack(phone: TestNotebook) {
        addCasting(CastingBody("Recorded at the bench"))
        val back = File(phone.folder, "back.zip")
        writeBundle(back.path, BundleContent.ALL)
        phone.book.sync(SyncTarget.Bundle(back.path))
        assertTrue("Recorded at the bench" in phone.book.castingNames())
    }

    /** A phone with a photo to sync, behind a proxy; in the end all is synced and undamaged. */
    private fun interrupted(test: (TestNotebook, StallingProxy, PairedShop) -> Unit) =
        TestNotebook().use { phone ->
            ShopProgram().use { shop ->
                StallingProxy(shop).use { proxy ->
                    phone.book.addPhoto(phone.face(), TestNotebook.photo.path)
                    val paired = proxy.link(phone.book::pair)
                    test(phone, proxy, paired)
                    phone.sync(paired)
                    assertEquals(0uL, phone.book.entriesNotSynced())
                    assertTrue(phone.book.verify().findings.isEmpty())
                    assertTrue(shop.hasNoProblems())
                    assertEquals(phone.book.castingNames(), shop.castingNames())
                }
            }
        }

    private companion object {
        /** Bytes to the shop computer: past all that precedes the photo, within the photo. */
        const val MID_PHOTO = 60_000L
    }
}
