package org.holebook.app

import android.net.wifi.WifiManager
import java.util.concurrent.Executors
import org.holebook.core.SeenShop
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.RobolectricTestRunner
import org.robolectric.RuntimeEnvironment
import org.robolectric.Shadows.shadowOf
import org.robolectric.annotation.Config

/** What the phone's own service discovery finds, and that nothing of it goes on after. */
@RunWith(RobolectricTestRunner::class)
@Config(sdk = [35], shadows = [FakeDiscovery::class])
class ShopFinderTest {
    private val app get() = RuntimeEnvironment.getApplication()

    @After
    fun `nothing goes on`() {
        assertTrue(FakeDiscovery.looking.isEmpty() && FakeDiscovery.watching.isEmpty())
        assertEquals(0, shadowOf(app.getSystemService(WifiManager::class.java)!!).activeLockCount)
        FakeDiscovery.reset()
    }

    @Test
    fun `each address of each computer that answers is given in numbers`() {
        FakeDiscovery.services = listOf(
            FakeDiscovery.Service("AbCd", 29_376, "192.168.1.20", "fd00::12", "127.0.0.1", "0.0.0.0"),
            FakeDiscovery.Service("silent", 29_376),
            FakeDiscovery.Service("EfGh", 29_377, "192.168.1.21"),
        )
        val found = ShopFinder(app, limit = 4).find()
        assertEquals("_holebook._tcp", FakeDiscovery.asked)
        val wanted = listOf(
            SeenShop("AbCd", listOf("192.168.1.20:29376", "[fd00:0:0:0:0:0:0:12]:29376")),
            SeenShop("EfGh", listOf("192.168.1.21:29377")),
        )
        assertEquals(wanted, found)
    }

    @Test
    fun `where nobody answers it ends by itself`() {
        assertTrue(ShopFinder(app, limit = 1).find().isEmpty())
    }

    @Test
    fun `a flood of answers is not listened to for ever`() {
        FakeDiscovery.services = List(500) { FakeDiscovery.Service("shop $it", 1000 + it, "10.0.0.1") }
        assertEquals(16, ShopFinder(app, limit = 60).find().size)
    }

    @Test
    fun `it ends when it is told to`() {
        val finder = ShopFinder(app, limit = 600)
        val search = Executors.newSingleThreadExecutor()
        val found = search.submit<List<SeenShop>> { finder.find() }
        while (FakeDiscovery.looking.isEmpty()) Thread.sleep(5)
        finder.stop()
        assertTrue(found.get().isEmpty())
        search.shutdown()
    }
}
