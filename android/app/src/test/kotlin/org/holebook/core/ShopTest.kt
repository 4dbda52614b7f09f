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

/** Pairing and exchange by typed calls, with a shop computer that is a process of its own and knows nothing of tests. */
class ShopTest {
    private inline fun <reified E : NotebookException> fails(crossinline call: () -> Any?): E {
        val failed = assertThrows(NotebookException::class.java) { call() }
        assertTrue(failed is E, "$failed is not ${E::class.simpleName}")
        assertTrue(failed.sentence().length > 20, failed.sentence())
        return failed as E
    }

    private fun Bench.exchange(shop: PairedShop): ExchangeReport = book.exchange(ExchangeWith.Shop(shop.id))

    /** The names of the castings in the shop computer's notebook, as its own command lists them. */
    private fun ShopProgram.castings(): List<String> {
        val castings = JSONObject(command("list", "--json")).getJSONArray("castings")
        return (0 until castings.length()).map { castings.getJSONObject(it).getString("name") }
    }

    @Test
    fun `paired by words, and both have what each wrote`(): Unit = Bench().use { phone ->
        ShopProgram(sample = true).use { shop ->
            val photo = phone.book.addPhoto(phone.face(), "../../samples/screens/face.jpg") // not the sample's own
            val paired = shop.code { phone.book.pair(it.words.uppercase()) }
            assertEquals(listOf(paired.id), phone.book.shops().map { it.id })
            assertEquals(listOf("barn phone"), shop.devices())
            assertTrue(paired.addresses.all { it.endsWith(":${shop.port}") }, "${paired.addresses}")

            val report = phone.exchange(paired)
            assertTrue(report.entriesTaken > 100u && report.photosTaken == 1u, "$report")
            assertEquals(1u, report.photosLeft)
            assertEquals(0uL, phone.book.entriesToBringHome())
            assertEquals(phone.book.castings().map { it.name }.sorted(), shop.castings().sorted())
            assertTrue("Pump end, invented" in shop.castings())
            assertTrue(photo.hash in shop.photos())
            assertTrue(phone.book.verify().findings.isEmpty())

            val again = phone.exchange(paired)
            assertEquals(0u to 0u, again.entriesTaken to again.entriesLeft)
            val known = phone.book.knownShelves().single()
            assertTrue(known.paired && known.id == paired.id && known.last != null, "$known")
        }
    }

    @Test
    fun `a code that is wrong, used or of nobody pairs nothing`(): Unit = Bench().use { phone ->
        val link = ShopProgram().use { shop ->
            shop.code { code ->
                for (wrong in listOf("", "twelve words that are none of the list's", code.words.substringBeforeLast(' '), "https://example.org/")) {
                    assertEquals(PairingTrouble.CODE_UNREADABLE, fails<NotebookException.Pairing> { phone.book.pair(wrong) }.trouble, wrong)
                }
                phone.book.forgetShop(phone.book.pair(code.link).id)
                assertEquals(PairingTrouble.CODE_USED, fails<NotebookException.Pairing> { phone.book.pair(code.link) }.trouble)
            }
            shop.code { it.link }
        }
        assertEquals(PairingTrouble.NOT_REACHED, fails<NotebookException.Pairing> { phone.book.pair(link) }.trouble)
        assertTrue(phone.book.shops().isEmpty())
        fails<NotebookException.Pairing> { phone.book.beginExchange(ExchangeWith.Shop("shop:nobody")) }
    }

    @Test
    fun `another computer at the shop's place is not let in on anything`(): Unit = Bench().use { phone ->
        ShopProgram().use { shop ->
            ShopProgram().use { other ->
                phone.face()
                val paired = shop.code { phone.book.pair(it.words) }
                shop.kill()
                phone.book.seeShopsAt(listOf(SeenShop(paired.announcedAs, listOf("127.0.0.1:${other.port}"))))
                fails<NotebookException.Shelf> { phone.exchange(paired) }
                assertTrue(other.castings().isEmpty())
                assertTrue(phone.book.entriesToBringHome() > 0uL)
            }
        }
    }

    @Test
    fun `a shop computer that has moved is found again by its key`(): Unit = Bench().use { phone ->
        ShopProgram().use { shop ->
            phone.face()
            val paired = Relay(shop).use { relay ->
                relay.link(phone.book::pair).also { phone.exchange(it) }
            }
            val gone = fails<NotebookException.Shelf> { phone.exchange(paired) }
            assertEquals(ShelfTrouble.UNREACHABLE, gone.trouble)
            phone.book.seeShopsAt(listOf(SeenShop(paired.announcedAs.lowercase(), listOf("no address", "127.0.0.1:${shop.port}"))))
            phone.exchange(paired)
            phone.book.seeShopsAt(emptyList())
            phone.exchange(paired) // where it answered last is remembered
        }
    }

    @Test
    fun `a revoked phone brings nothing and takes nothing`(): Unit = Bench().use { phone ->
        ShopProgram().use { shop ->
            val paired = shop.code { phone.book.pair(it.words) }
            phone.face()
            shop.command("devices", "--revoke", shop.devices().single())
            assertEquals(ShelfTrouble.NOT_LET_IN, fails<NotebookException.Shelf> { phone.exchange(paired) }.trouble)
            assertTrue(shop.castings().isEmpty())
            shop.code { phone.book.pair(it.words) }
            assertTrue(phone.exchange(paired).entriesLeft > 0u, "and can be paired again")
        }
    }

    @Test
    fun `what is under way says how far it is, and keeps others from beginning`(): Unit = middle { phone, relay, paired ->
        relay.standStill(MIDDLE, { phone.begin(paired) }) { run ->
            assertFalse(run.isOver())
            val progress = run.progress()
            assertEquals(ExchangeStage.LEAVING, progress.stage)
            assertEquals(1u to 1u, progress.turn to progress.turns)
            assertTrue(progress.entries < progress.entriesOf, "$progress")
            val threads = Executors.newFixedThreadPool(2)
            val others = List(2) { Callable { runCatching { phone.begin(paired) }.exceptionOrNull() } }
            assertTrue(threads.invokeAll(others).all { it.get() is NotebookException.UnderWay })
            threads.shutdown()
            phone.book.addCasting(CastingBody("Written meanwhile"))
            run
        }.use { run ->
            assertEquals(1u, (run.result().single() as ShelfOutcome.Done).report.photosLeft)
            assertTrue(run.isOver())
            assertEquals(ExchangeStage.OVER, run.progress().stage)
        }
        assertEquals(1uL, phone.book.entriesToBringHome())
    }

    @Test
    fun `an exchange that is ended in its middle is finished by the next`(): Unit = middle { phone, relay, paired ->
        val run = relay.standStill(MIDDLE, { phone.begin(paired) }) { run -> run.also { it.cancel() } }
        fails<NotebookException.Stopped> { run.result() }
        run.close()
        assertTrue(phone.book.entriesToBringHome() > 0uL)
    }

    @Test
    fun `a shop computer that is cut off in the middle keeps what it had, and the next exchange goes on`(): Unit = middle { phone, relay, paired ->
        val shop = relay.shop
        val run = relay.standStill(MIDDLE, { phone.begin(paired) }) { run -> run.also { shop.kill() } }
        assertEquals(ShelfTrouble.UNREACHABLE, fails<NotebookException.Shelf> { run.result() }.trouble)
        run.close()
        shop.open()
    }

    @Test
    fun `shutdown in the middle of an exchange ends it, and nothing is lost`() {
        ShopProgram().use { shop ->
            Relay(shop).use { relay ->
                Bench().use { phone ->
                    phone.book.addPhoto(phone.face(), Bench.photo.path)
                    val paired = relay.link(phone.book::pair)
                    val closing = Executors.newSingleThreadExecutor()
                    val begun = CountDownLatch(1)
                    val (run, closed) = relay.standStill(MIDDLE, { phone.begin(paired) }) { run ->
                        val closed = closing.submit {
                            begun.countDown()
                            phone.book.shutdown()
                        }
                        begun.await()
                        Thread.sleep(1_000) // to end the exchange is the first that it does
                        run to closed
                    }
                    closed.get(60, SECONDS)
                    closing.shutdown()
                    assertTrue(run.isOver())
                    fails<NotebookException.Stopped> { run.result() }
                    fails<NotebookException.Closed> { phone.begin(paired) }
                    Notebook.open(File(phone.folder, "notebook").path).use { again ->
                        again.exchange(ExchangeWith.Every)
                        assertEquals(0uL, again.entriesToBringHome())
                        assertTrue(again.verify().findings.isEmpty())
                        again.shutdown()
                    }
                }
                assertTrue("Nothing is wrong" in shop.command("verify"))
            }
        }
    }

    @Test
    fun `every known shelf has its turn, also after one that is not there`(): Unit = Bench().use { phone ->
        ShopProgram().use { shop ->
            fails<NotebookException.Shelf> { phone.book.beginExchange(ExchangeWith.Every) }
            phone.face()
            val stick = File(phone.folder, "stick")
            phone.book.exchange(ExchangeWith.Folder(stick.path))
            shop.code { phone.book.pair(it.words) }
            stick.renameTo(File(phone.folder, "elsewhere"))
            val outcomes = phone.book.beginExchange(ExchangeWith.Every).use { it.result() }
            assertTrue(outcomes[0] is ShelfOutcome.Done, "$outcomes")
            assertEquals(ShelfTrouble.NOT_THERE, (outcomes[1] as ShelfOutcome.Failed).trouble)
            assertEquals(listOf(true, false), phone.book.knownShelves().map { it.paired })
            phone.book.knownShelves().forEach { phone.book.forgetShelf(it.id) }
            assertTrue(phone.book.knownShelves().isEmpty() && phone.book.shops().isEmpty())
        }
    }

    @Test
    fun `a bundle there and back`(): Unit = Bench().use { phone ->
        Bench().use { other ->
            val photo = phone.book.addPhoto(phone.face(), Bench.photo.path).photo
            assertEquals(1uL, phone.book.photosToBringHome())
            val file = File(phone.folder, "barn.zip")
            val written = phone.book.writeBundle(file.path, BundleOf.NOT_HOME)
            assertEquals(1uL to file.length().toULong(), written.photos to written.bytes)
            assertTrue(phone.book.entriesToBringHome() > 0uL, "a file may never arrive")
            fails<NotebookException.Bundle> { phone.book.writeBundle(file.path, BundleOf.ALL) }

            val taken = other.book.exchange(ExchangeWith.Bundle(file.path))
            assertEquals(written.entries to 1u, taken.entriesTaken.toULong() to taken.photosTaken)
            assertTrue(File(other.book.photoView(photo)).length() > 0)
            other.book.noteFaceAndBack(phone)

            file.writeBytes(file.readBytes().copyOf(file.length().toInt() / 2))
            fails<NotebookException.Bundle> { other.book.exchange(ExchangeWith.Bundle(file.path)) }
        }
    }

    /** What the other one wrote comes back the same way. */
    private fun Notebook.noteFaceAndBack(phone: Bench) {
        addCasting(CastingBody("Written at the bench"))
        val back = File(phone.folder, "back.zip")
        writeBundle(back.path, BundleOf.ALL)
        phone.book.exchange(ExchangeWith.Bundle(back.path))
        assertTrue("Written at the bench" in phone.book.castings().map { it.name })
    }

    private fun Bench.begin(shop: PairedShop) = book.beginExchange(ExchangeWith.Shop(shop.id))

    /** A phone with a photo to bring home, behind a network that can stand still; in the end all is home and whole. */
    private fun middle(test: (Bench, Relay, PairedShop) -> Unit) = Bench().use { phone ->
        ShopProgram().use { shop ->
            Relay(shop).use { relay ->
                phone.book.addPhoto(phone.face(), Bench.photo.path)
                val paired = relay.link(phone.book::pair)
                test(phone, relay, paired)
                phone.exchange(paired)
                assertEquals(0uL, phone.book.entriesToBringHome())
                assertTrue(phone.book.verify().findings.isEmpty())
                assertTrue("Nothing is wrong" in shop.command("verify"))
                assertEquals(phone.book.castings().map { it.name }.sorted(), shop.castings().sorted())
            }
        }
    }

    private companion object {
        /** Bytes to the shop computer: more than the words before the photo, and less than the photo. */
        const val MIDDLE = 60_000L
    }
}
